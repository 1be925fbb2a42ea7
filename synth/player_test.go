package synth_test

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

// Einthoven: I + III = II at every sample; and the augmented leads sum to zero
// (monitor manual formula table, read). Artifacts at the electrodes obey it too; a
// disconnected lead is no difference of potentials and does not.
func TestEinthoven(t *testing.T) {
	t.Parallel()
	for _, id := range identities(1) {
		if k, ok := artifact.ByID(id.Artifact); ok && k.Leads != nil {
			continue
		}
		id.Leads = []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V1}
		s, _ := render(t, id, 6)
		worst, sum := 0.0, 0.0
		for i := range s.MV[0] {
			worst = math.Max(worst, math.Abs(s.MV[0][i]+s.MV[2][i]-s.MV[1][i]))
			sum = math.Max(sum, math.Abs(s.MV[3][i]+s.MV[4][i]+s.MV[5][i]))
		}
		assert.Less(t, worst, 1e-9, "%s: I + III - II in mV", id)
		assert.Less(t, sum, 1e-9, "%s: aVR + aVL + aVF in mV", id)
	}
}

func TestSameIdentitySameSamples(t *testing.T) {
	t.Parallel()
	for _, id := range identities(3) {
		s, m := render(t, id, 4)
		again, err := ecg.ParseIdentity(id.String())
		require.NoError(t, err)
		s2, m2 := render(t, again, 4)
		require.Equal(t, all(s), all(s2), id.String())
		require.Equal(t, m, m2, id.String())
	}
}

// The leads asked for do not change what happens in the others.
func TestLeadsAreIndependent(t *testing.T) {
	t.Parallel()
	for _, id := range identities(4) {
		id.Leads = []ecg.Lead{ecg.II, ecg.V1}
		two, _ := render(t, id, 3)
		id.Leads = []ecg.Lead{ecg.V1, ecg.AVF, ecg.II, ecg.I}
		four, _ := render(t, id, 3)
		require.Equal(t, two.Row(ecg.II), four.Row(ecg.II), id.String())
		require.Equal(t, two.Row(ecg.V1), four.Row(ecg.V1), id.String())
		require.Equal(t, two.Witness(ecg.Pleth), four.Witness(ecg.Pleth), id.String())
	}
}

func TestDifferentSeedsDiffer(t *testing.T) {
	t.Parallel()
	for _, id := range identities(1) {
		a, _ := render(t, id, 2)
		id.Seed = 2
		b, _ := render(t, id, 2)
		for row := range all(a) {
			assert.NotEqual(t, all(a)[row], all(b)[row], "%s, row %d", id, row)
		}
	}
}

// Any chunks give the same samples, the pulse row included.
func TestAnyChunksSameSamples(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(21, 0))
	for n, id := range identities(5) {
		if n%3 != 0 && id.Artifact != "" {
			continue // the plain ones all, of the disturbed ones a third
		}
		id.Rate = []int{100, 250, 500, 1000}[rng.IntN(4)]
		const seconds = 12
		frames := seconds * id.Rate
		s, m := render(t, id, seconds)
		whole := all(s)
		p, err := synth.Open(id)
		require.NoError(t, err)
		for at := 0; at < frames; {
			n := min(1+rng.IntN(1+rng.IntN(frames)), frames-at)
			dst := buffer(len(whole), n)
			got, err := p.Fill(dst)
			require.NoError(t, err)
			require.Equal(t, n, got)
			for row := range dst {
				require.Equal(t, whole[row][at:at+n], dst[row], "%s, row %d from frame %d", id, row, at)
			}
			at += n
		}
		assert.Equal(t, m, p.Marks(0, seconds), id.String())
	}
}

// steepest is the slew that no ECG exceeds: 400 uV/ms (Jekova and Krasteva 2004,
// Physiol Meas 25:1167, read second-hand).
const steepest = 400.0 // mV/s

// No NaN, no Inf, nothing off the paper, no step larger than a wave permits. A pacing
// spike is steeper than any wave.
func TestSamplesAreTame(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 2; seed++ {
		for _, id := range identities(seed) {
			s, _ := render(t, id, 8)
			l, _ := synth.Lesson(id.Rhythm)
			for row, x := range all(s) {
				step := steepest / float64(id.Rate)
				if row == len(s.MV) {
					step = 0.05 // the pulse: a twentieth of its height
				}
				largest, high := 0.0, 0.0
				for i, v := range x {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("%s, row %d, frame %d: %g", id, row, i, v)
					}
					high = math.Max(high, math.Abs(v))
					if i > 0 {
						largest = math.Max(largest, math.Abs(v-x[i-1]))
					}
				}
				assert.Less(t, high, 5.0, "%s, row %d", id, row)
				if l.Family != lesson.Paced {
					assert.Less(t, largest, step, "%s, row %d: largest step", id, row)
				}
			}
		}
	}
}

// After it has warmed up a player allocates nothing.
func TestFillDoesNotAllocate(t *testing.T) {
	for _, id := range identities(6) {
		if id.Age != ecg.Months(6) && id.Artifact != "" {
			continue
		}
		id.Rate = 250
		p, err := synth.Open(id)
		require.NoError(t, err)
		dst := buffer(len(id.Leads)+1, 50)
		for range 1250 { // 250 s: longer than marks are kept
			_, err := p.Fill(dst)
			require.NoError(t, err)
		}
		assert.Zero(t, testing.AllocsPerRun(100, func() { _, _ = p.Fill(dst) }), id.String())
	}
}

// An hour streams in constant memory.
func TestAnHourInConstantMemory(t *testing.T) {
	for _, rhythmID := range []string{"ventricular-run", "third-degree-av-block", "coarse-ventricular-fibrillation"} {
		id := ecg.Synthetic(rhythmID, ecg.Months(6), 1)
		id.Artifact, id.Rate = "movement", 250
		p, err := synth.Open(id)
		require.NoError(t, err)
		dst := buffer(len(id.Leads)+1, 1000)
		var before, after runtime.MemStats
		for second := 0; second < 3600; second += 4 {
			if second == 400 {
				runtime.ReadMemStats(&before)
			}
			_, err := p.Fill(dst)
			require.NoError(t, err)
		}
		runtime.ReadMemStats(&after)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(64<<10), "%s: bytes in the hour", rhythmID)
		assert.NotPanics(t, func() { p.Marks(3590, 3600) })
		if rhythmID != "coarse-ventricular-fibrillation" {
			assert.NotEmpty(t, p.Marks(3590, 3600).Beats, "and the truth is still there at its end")
		}
	}
}

// The truth of a stretch is the truth of the whole, cut and shifted.
func TestMarksOfAStretch(t *testing.T) {
	t.Parallel()
	for _, id := range plain(7) {
		p, err := synth.Open(id)
		require.NoError(t, err)
		_, err = p.Fill(buffer(len(id.Leads)+1, 30*id.Rate))
		require.NoError(t, err)
		whole, part := p.Marks(0, 30), p.Marks(10, 20)
		var want []float64
		for _, b := range whole.Beats {
			if b.QRS.Onset >= 10 && b.QRS.Offset <= 20 {
				want = append(want, b.QRS.Peak-10)
			}
		}
		require.Len(t, part.Beats, len(want), id.String())
		for i, b := range part.Beats {
			assert.InDelta(t, want[i], b.QRS.Peak, 1e-9)
			assert.True(t, !b.P.Present() || b.P.Onset >= 0, "waves that began before are left out")
			assert.True(t, !b.T.Present() || b.T.Offset <= 10, "and those that end after")
		}
		assert.Equal(t, []ecg.Episode{{Rhythm: id.Rhythm, From: 0, To: 10}}, part.Episodes)
	}
}

// A rhythm has shown itself when its evidence says so, the same whenever it is asked
// and however often.
func TestEvidenceAt(t *testing.T) {
	t.Parallel()
	for _, id := range identities(8) {
		if id.Age != ecg.Days(10) && id.Age != ecg.Years(14) && id.Age != ecg.Years(40) {
			continue
		}
		r, _ := rhythm.ByID(id.Rhythm)
		p, err := synth.Open(id)
		require.NoError(t, err)
		dst := buffer(len(id.Leads)+1, id.Rate/10)
		first, found := 0.0, false
		const from = 1.3
		for tenth := 1; tenth <= 600; tenth++ {
			_, err := p.Fill(dst)
			require.NoError(t, err)
			at, ok := p.EvidenceAt(from)
			switch {
			case !found && ok:
				first, found = at, true
				assert.InDelta(t, at, float64(tenth)/10, 0.1+1e-9, "%s: as soon as it is there", id)
			case found:
				require.True(t, ok, id.String())
				require.InDelta(t, first, at, 0, "%s: asked again at %g s", id, float64(tenth)/10)
			}
		}
		if !assert.True(t, found, "%s has not shown itself within a minute", id) {
			continue
		}
		m := p.Marks(from, 60)
		switch {
		case id.Artifact != "":
			assert.InDelta(t, from+2, first, 1e-9, "%s: an artifact shows within two seconds", id)
		case r.Shows == rhythm.AfterBeats && (len(m.Beats) == 0 || m.Beats[0].QRS.Onset >= 2):
			assert.InDelta(t, from+2, first, 1e-9, "%s: two seconds without any beat", id)
		case r.Shows == rhythm.AfterBeats:
			assert.InDelta(t, from+m.Beats[2].T.Offset, first, 1e-9, "%s: three beats", id)
		case r.Shows == rhythm.AfterBlockedP:
			blocked, ok := firstBlockedP(m)
			assert.True(t, ok, id.String())
			assert.InDelta(t, from+blocked.Offset, first, 1e-9, "%s: the P after a blocked one", id)
		case r.Shows == rhythm.AfterTwo:
			n := 0
			for _, b := range m.Beats {
				if b.Origin != ecg.OriginSinus {
					if n++; n == 2 {
						assert.InDelta(t, from+b.T.Offset, first, 1e-9, "%s: two ectopics", id)
					}
				}
			}
		case r.Shows == rhythm.AfterEctopic, r.Shows == rhythm.AfterRun, r.Shows == rhythm.AfterPair:
			run, want := 0, map[rhythm.Evidence]int{rhythm.AfterEctopic: 1, rhythm.AfterPair: 2, rhythm.AfterRun: 3}[r.Shows]
			for _, b := range m.Beats {
				if run++; b.Origin == ecg.OriginSinus {
					run = 0
				}
				if run == want {
					assert.InDelta(t, from+b.T.Offset, first, 1e-9, "%s: %d ectopics", id, want)
					break
				}
			}
			assert.Equal(t, want, run, id.String())
		default:
			assert.Greater(t, first, from+0.5, "%s: not before a beat has passed", id)
		}
	}
}

// firstBlockedP is the first P that follows another with no QRS between them.
func firstBlockedP(m ecg.Marks) (ecg.Span, bool) {
	for i, b := 1, 0; i < len(m.P); i++ {
		for b < len(m.Beats) && m.Beats[b].QRS.Onset < m.P[i-1].Onset {
			b++
		}
		if b == len(m.Beats) || m.Beats[b].QRS.Onset >= m.P[i].Onset {
			return m.P[i], true
		}
	}
	return ecg.Span{}, false
}

func TestCheckNamesWhatCannotBe(t *testing.T) {
	t.Parallel()
	good := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1)
	for _, tt := range []struct {
		change func(*ecg.Identity)
		says   string
	}{
		{func(id *ecg.Identity) { id.Rhythm = "sinus-rythm" }, `did you mean "sinus-rhythm"?`},
		{func(id *ecg.Identity) { id.Rhythm = "xyzzy" }, "telltrace rhythms lists them"},
		{func(id *ecg.Identity) { id.Rhythm = "movement" }, "is an artifact: lay it over a rhythm"},
		{func(id *ecg.Identity) { id.Artifact = "movment" }, `did you mean "movement"?`},
		{func(id *ecg.Identity) { id.Engine = 99 }, "engine version 99"},
		{func(id *ecg.Identity) { id.Leads = []ecg.Lead{"V7"} }, `lead "V7" cannot be made; known are I, II, III, aVR, aVL, aVF, V1 to V6 and V8`},
		{func(id *ecg.Identity) { id.Leads = []ecg.Lead{ecg.V1, ecg.II, ecg.V5} }, `leads V1 and V5 at once need two chest electrodes; there is one`},
		{func(id *ecg.Identity) { id.Leads = nil }, "no lead is asked for"},
		{func(id *ecg.Identity) { id.Rate = 50 }, "allowed is 100 to 2000"},
		{func(id *ecg.Identity) { *id = ecg.Identity{Recording: "mitdb/106", Seconds: 5} }, "is a recording"},
	} {
		id := good
		tt.change(&id)
		_, err := synth.Open(id)
		if assert.Error(t, err) {
			assert.Contains(t, err.Error(), tt.says)
		}
	}
	for _, seconds := range []float64{0, -1, 1e-9, 24*3600 + 1, math.NaN(), math.Inf(1)} {
		_, _, err := synth.Render(good, seconds)
		assert.ErrorContains(t, err, "allowed is one sample to 24 hours", "%g s", seconds)
	}
	p, err := synth.Open(good)
	require.NoError(t, err)
	assert.Equal(t, good, p.Identity())
	assert.InDelta(t, 500, p.SampleRate(), 0)
	assert.Panics(t, func() { _, _ = p.Fill(buffer(3, 10)) }, "a row too few is a programmer's mistake")
}
