package synth_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

// straight draws a line across a span of every lead.
func straight(s ecg.Strip, span ecg.Span) {
	for _, x := range s.MV {
		from, to := max(int(span.Onset*s.Rate), 0), min(int(span.Offset*s.Rate), len(x)-1)
		a, b := x[from], x[to]
		for i := from; i <= to; i++ {
			x[i] = a + (b-a)*float64(i-from)/float64(to-from)
		}
	}
}

// times multiplies a span of every lead, from the line between its ends.
func times(s ecg.Strip, span ecg.Span, by float64) {
	for _, x := range s.MV {
		from, to := max(int(span.Onset*s.Rate), 0), min(int(span.Offset*s.Rate), len(x)-1)
		a, b := x[from], x[to]
		for i := from; i <= to; i++ {
			line := a + (b-a)*float64(i-from)/float64(to-from)
			x[i] = line + by*(x[i]-line)
		}
	}
}

// smear averages every lead over so many seconds around a span, which widens what is in
// it.
func smear(s ecg.Strip, span ecg.Span, over float64) {
	half := int(over / 2 * s.Rate)
	for _, x := range s.MV {
		from, to := int(span.Onset*s.Rate)-half, int(span.Offset*s.Rate)+half
		if from-half < 0 || to+half >= len(x) {
			continue
		}
		out := make([]float64, to-from+1)
		for i := range out {
			out[i] = mean(x[from+i-half : from+i+half+1])
		}
		copy(x[from:], out)
	}
}

// Calipers fail what is not so: each criterion is missed once the samples, or the place
// where the waves are looked for, are spoilt in what it measures.
func TestCalipersMissWhatIsSpoilt(t *testing.T) {
	t.Parallel()
	all := func(by float64) func(ecg.Strip, *ecg.Marks) {
		return func(s ecg.Strip, _ *ecg.Marks) {
			for _, x := range s.MV {
				for i := range x {
					x[i] *= by
				}
			}
		}
	}
	noP := func(s ecg.Strip, m *ecg.Marks) {
		for _, p := range m.P {
			straight(s, p)
		}
	}
	onT := func(by float64) func(ecg.Strip, *ecg.Marks) {
		return func(s ecg.Strip, m *ecg.Marks) {
			for _, b := range m.Beats {
				if b.T.Present() {
					times(s, b.T, by)
				}
			}
		}
	}
	for _, tt := range []struct {
		name, rhythm string
		age          ecg.Age
		miss         lesson.Measure
		spoil        func(s ecg.Strip, m *ecg.Marks)
	}{
		{"P drawn away", "sinus-rhythm", ecg.Years(8), lesson.PPerQRS, noP},
		{"P drawn away", "atrial-pacing", ecg.Years(40), lesson.PPerQRS, noP},
		{"P drawn away", "third-degree-av-block", ecg.Years(14), lesson.PPerQRS, noP},
		{"P looked for 0.2 s too late", "sinus-rhythm", ecg.Years(8), lesson.PRTime, func(_ ecg.Strip, m *ecg.Marks) {
			for i := range m.P {
				m.P[i] = m.P[i].Shift(0.2)
			}
		}},
		{"T halved", "peaked-t-waves", ecg.Years(8), lesson.THeight, onT(0.5)},
		{"T turned over", "inverted-t-waves", ecg.Years(8), lesson.THeight, onT(-1)},
		{"QRS smeared", "sinus-rhythm", ecg.Years(8), lesson.QRSTime, func(s ecg.Strip, m *ecg.Marks) {
			for _, b := range m.Beats {
				smear(s, b.QRS, 0.06)
			}
		}},
		{"every third beat drawn away", "sinus-rhythm", ecg.Years(8), lesson.RRSpread, func(s ecg.Strip, m *ecg.Marks) {
			var left []ecg.Beat
			for i, b := range m.Beats {
				if i%3 == 2 {
					straight(s, b.QRS)
				} else {
					left = append(left, b)
				}
			}
			m.Beats = left
		}},
		{"every third beat turned over", "premature-atrial-beats", ecg.Years(8), lesson.Ectopics, func(s ecg.Strip, m *ecg.Marks) {
			for i, b := range m.Beats {
				if i%3 == 0 {
					times(s, b.QRS, -1)
				}
			}
		}},
		{"T smeared", "sinus-rhythm", ecg.Years(40), lesson.QTcBazett, func(s ecg.Strip, m *ecg.Marks) {
			for _, b := range m.Beats {
				smear(s, b.T, 0.2)
			}
		}},
		{"every second beat overlooked", "supraventricular-tachycardia", ecg.Years(8), lesson.Rate, func(s ecg.Strip, m *ecg.Marks) {
			var left []ecg.Beat
			for i := 0; i < len(m.Beats); i += 2 {
				left = append(left, m.Beats[i])
			}
			m.Beats = left
		}},
		{"lifted by half", "low-voltage", ecg.Years(8), lesson.QRSHeight, all(2.2)},
		{"grown threefold", "fine-ventricular-fibrillation", ecg.Years(8), lesson.PeakToPeak, all(3)},
		{"shrunk to a tenth", "coarse-ventricular-fibrillation", ecg.Years(8), lesson.PeakToPeak, all(0.1)},
		{"grown tenfold", "asystole", ecg.Years(8), lesson.PeakToPeak, all(10)},
		{"all turned over", "right-bundle-branch-block", ecg.Years(40), lesson.LateV1, all(-1)},
		{"ST drawn level", "st-elevation", ecg.Years(40), lesson.STLevel, func(s ecg.Strip, m *ecg.Marks) {
			for i, b := range m.Beats {
				if i+1 < len(m.Beats) && b.T.Present() {
					times(s, ecg.Span{Onset: b.QRS.Offset - 0.01, Offset: b.T.Offset + 0.02}, 0)
				}
			}
		}},
		{"spikes drawn away", "ventricular-pacing", ecg.Years(40), lesson.Spikes, func(s ecg.Strip, m *ecg.Marks) {
			for _, b := range m.Beats {
				straight(s, ecg.Span{Onset: b.QRS.Onset - 0.022, Offset: b.QRS.Onset - 0.002})
			}
		}},
	} {
		r, ok := rhythm.ByID(tt.rhythm)
		require.True(t, ok, tt.rhythm)
		for seed := uint64(1); seed <= 5; seed++ {
			id := ecg.Synthetic(tt.rhythm, tt.age, seed)
			if needsV1(r) {
				id.Leads = append(id.Leads, ecg.V1)
			}
			s, m := render(t, id, seconds(r))
			assert.Empty(t, caliperMisses(r, id, s, lookAt(m, rand.New(rand.NewPCG(seed, 0)))), "%s as it is", id)
			tt.spoil(s, &m)
			missed := strings.Join(caliperMisses(r, id, s, lookAt(m, rand.New(rand.NewPCG(seed, 0)))), "; ")
			assert.Contains(t, missed, string(tt.miss)+" is ", "%s, %s", id, tt.name)
		}
	}
}
