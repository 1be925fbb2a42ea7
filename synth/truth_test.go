package synth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// The truth says where the R peak is: within 4 ms of the extremum of lead II, for
// narrow beats that are clear there.
func TestTruthOfRPeaks(t *testing.T) {
	t.Parallel()
	clear, of := 0, 0
	for _, rhythmID := range []string{"sinus-rhythm", "sinus-tachycardia", "supraventricular-tachycardia", "third-degree-av-block", "ventricular-bigeminy"} {
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 5; seed++ {
				id := ecg.Synthetic(rhythmID, b.Middle, seed)
				id.Rate = 1000
				s, m := render(t, id, 8)
				ii := s.Row(ecg.II)
				for _, beat := range m.Beats {
					if beat.Origin == ecg.OriginVentricular || beat.Origin == ecg.OriginFusion {
						continue
					}
					of++
					from, to := int(beat.QRS.Onset*s.Rate), int(beat.QRS.Offset*s.Rate)
					top, at := 0.0, from
					for i := from; i <= to && i < len(ii); i++ {
						if h := math.Abs(ii[i] - ii[from]); h > top {
							top, at = h, i
						}
					}
					if top < 0.4 {
						continue
					}
					clear++
					assert.InDelta(t, beat.QRS.Peak, float64(at)/s.Rate, 0.004, "%s: beat at %.3f s, R of %.2f mV", id, beat.QRS.Onset, top)
				}
			}
		}
	}
	assert.Greater(t, clear, of*3/4, "most beats are clear in lead II")
}

// What the truth says of a rhythm lies in its published ranges, in every strip: the
// generator judged by its own marks. TestCatalogue judges it by its samples.
func TestTruthMeetsTheCriteria(t *testing.T) {
	t.Parallel()
	seeds := uint64(20)
	if testing.Short() {
		seeds = 3
	}
	for _, r := range rhythm.All() {
		for _, age := range ages(r) {
			for seed := uint64(1); seed <= seeds; seed++ {
				id := ecg.Synthetic(r.ID, age, seed)
				_, m := render(t, id, seconds(r))
				for _, c := range r.Criteria {
					if r.Family != lesson.Ventricular && (c.Measure == lesson.Ectopics || c.Measure == lesson.LongestRun) {
						continue // the truth knows where a beat came from, not the shape it took
					}
					want := c.At(age)
					got, ok := fromTruth(c.Measure, m)
					if ok {
						assert.True(t, got >= want.Low && got <= want.High, "%s: %s is %.4g, published %.4g to %.4g (%s)",
							id, c.Measure, got, want.Low, want.High, want.Source)
					}
				}
			}
		}
	}
}

// fromTruth is a measure taken from marks by plain arithmetic, false for the ones
// that only samples have.
func fromTruth(what lesson.Measure, m ecg.Marks) (float64, bool) {
	var rr, pr, qrs, qt []float64
	ectopics, run, longest := 0, 0, 0
	for i, b := range m.Beats {
		if i > 0 {
			rr = append(rr, b.QRS.Onset-m.Beats[i-1].QRS.Onset)
		}
		run++
		if b.Origin == ecg.OriginVentricular {
			ectopics++
		} else {
			run = 0
		}
		longest = max(longest, run)
		if v, ok := b.PR(); ok {
			pr = append(pr, v)
		}
		if v, ok := b.QRSWidth(); ok && (b.Origin != ecg.OriginVentricular || ectopics == i+1) {
			qrs = append(qrs, v)
		}
		if v, ok := b.QT(); ok {
			qt = append(qt, v)
		}
	}
	mean, square := 0.0, 0.0
	for _, v := range rr {
		mean += v / float64(len(rr))
		square += v * v / float64(len(rr))
	}
	beats := float64(len(m.Beats))
	switch what {
	case lesson.Rate:
		if len(rr) == 0 {
			return 0, true
		}
		return 60 / mean, true
	case lesson.RRSpread:
		return math.Sqrt(math.Max(square-mean*mean, 0)) / mean, true
	case lesson.PPerQRS:
		return float64(len(m.P)) / beats, true
	case lesson.PRTime:
		return median(pr), true
	case lesson.QRSTime:
		return median(qrs), true
	case lesson.QTTime:
		return median(qt), true
	case lesson.QTcBazett:
		return ownQTc(m.Beats, func(i int) bool { return m.Beats[i].Origin != ecg.OriginVentricular }), true
	case lesson.Ectopics:
		return float64(ectopics) / beats, true
	case lesson.LongestRun:
		return float64(longest), true
	default:
		return 0, false
	}
}

// Where early atrial beats find a bundle branch tired, the wide beats are those early ones:
// none is blocked, and no usual beat is wide (Gouaux and Ashman 1947, Am Heart J 34:366, from
// memory).
func TestAberrantBeatsAreTheEarlyOnes(t *testing.T) {
	t.Parallel()
	for _, y := range []int{0, 1, 6, 14, 40} {
		for seed := uint64(1); seed <= 8; seed++ {
			id := ecg.Synthetic("aberrantly-conducted-atrial-beats", ecg.Years(y), seed)
			_, m := render(t, id, 12)
			early := 0
			for i, b := range m.Beats {
				if b.Origin != ecg.OriginAtrial {
					continue
				}
				early++
				if i == 0 {
					continue
				}
				w, _ := b.QRSWidth()
				usual, _ := m.Beats[i-1].QRSWidth()
				assert.Greater(t, w, 1.2*usual, "%v, beat %d", id, i)
				assert.True(t, b.P.Present(), "%v, beat %d", id, i)
			}
			assert.Positive(t, early, "%v", id)
			usual, _ := m.Beats[len(m.Beats)/2].QRSWidth()
			for i, b := range m.Beats {
				if w, _ := b.QRSWidth(); b.Origin == ecg.OriginSinus {
					usual = min(usual, w)
					assert.Less(t, w, 1.2*usual, "%v, beat %d", id, i)
				}
			}
		}
	}
}
