package synth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// How far measurement and truth may be apart in the median, ms.
const (
	rWithin        = 4  // R peaks
	intervalWithin = 10 // PR, QRS, QT
)

// far are what a measurement of beats misses their truth by, ms, by what is measured.
type far map[string][]float64

// compare collects how far a found beat is from the true one; R of narrow beats, for a
// wide one has no one peak.
func (f far) compare(truth, found ecg.Beat, age ecg.Age) {
	if w, _ := truth.QRSWidth(); w < norms.WideQRS(age).Low {
		f["R"] = append(f["R"], 1000*(found.QRS.Peak-truth.QRS.Peak))
	}
	for name, interval := range map[string]func(ecg.Beat) (float64, bool){"PR": ecg.Beat.PR, "QRS": ecg.Beat.QRSWidth, "QT": ecg.Beat.QT} {
		a, ok := interval(found)
		if b, too := interval(truth); ok && too {
			f[name] = append(f[name], 1000*(a-b))
		}
	}
}

// runsTogether names the entries whose waves run into each other, so that no strip shows
// the interval that the engine knows: what cannot be seen, and why.
var runsTogether = map[string]struct{ intervals, why string }{
	"atrial-flutter":                            {"PR QRS QT", "flutter waves fill the line and run into QRS and T; there is no P"},
	"hyperkalaemic-sine-wave":                   {"QRS QT", "the QRS runs into its T"},
	"supraventricular-tachycardia":              {"QT", "the next beat begins on the T"},
	"wide-complex-supraventricular-tachycardia": {"QRS QT", "a P lies in the QRS, the next beat on the T"},
	"atrial-tachycardia":                        {"PR QT", "the P lies on the T of the beat before"},
	"sinus-tachycardia":                         {"PR QT", "the P lies on the T of the beat before"},
	"junctional-ectopic-tachycardia":            {"PR", "the few P that are conducted lie on a T"},
	"monomorphic-ventricular-tachycardia":       {"PR QRS QT", "the next beat begins on the T; hardly a P is conducted"},
	"polymorphic-ventricular-tachycardia":       {"QRS QT", "the next beat begins on the T"},
	"accelerated-idioventricular-rhythm":        {"PR", "the P of fusion beats lie in the QRS"},
	"pre-excited-atrial-fibrillation":           {"QRS QT", "the next beat begins on the T"},
	"torsades-de-pointes":                       {"QT", "a P or the next burst lies on the T"},
	"ventricular-bigeminy":                      {"QT", "the ectopic begins on the T"},
	"ventricular-run":                           {"QT", "QT follows the rate of the runs, beat by beat"},
	"sinus-pause":                               {"QT", "QT follows the pauses, beat by beat"},
	"aberrantly-conducted-atrial-beats":         {"QT", "QT follows the early beats, beat by beat"},
	"two-to-one-av-block":                       {"QT", "the blocked P lies on the T"},
	"high-grade-av-block":                       {"QT", "a blocked P lies on the T"},
	"failure-to-capture":                        {"QT", "the next spike lies on the T"},
	"failure-to-pace":                           {"QT", "the next spike lies on the T"},
	"agonal-rhythm":                             {"QRS", "noise hides the ends of one or two very broad beats"},
	"st-elevation":                              {"QRS", "the lifted ST hides where the QRS ends"},
	"st-depression":                             {"QT", "ST and T point in two directions"},
}

// usualBeats tells the patient's own beats from those of the ventricles, where there are
// some.
func usualBeats(m ecg.Marks) func(ecg.Beat) bool {
	fromAbove := func(b ecg.Beat) bool {
		return b.Origin != ecg.OriginVentricular && b.Origin != ecg.OriginFusion
	}
	n := 0
	for _, b := range m.Beats {
		if fromAbove(b) {
			n++
		}
	}
	if n < 3 {
		return func(ecg.Beat) bool { return true }
	}
	return fromAbove
}

// apart are the medians of an entry at an age that are farther from the truth than
// allowed.
func (f far) apart(r rhythm.Rhythm, age ecg.Age) (out []string) {
	for name, ms := range f {
		within := float64(intervalWithin)
		if name == "R" {
			within = rWithin
		}
		if got := median(ms); math.Abs(got) > within && !strings.Contains(runsTogether[r.ID].intervals, name) {
			out = append(out, fmt.Sprintf("%s at %s: %s is %.1f ms from the truth", r.ID, age, name, got))
		}
	}
	return out
}

// Truth and measurement agree: the engine's marks and what calipers find in the samples,
// in the median of each entry at each age, but for the intervals that run together.
func TestTruthAndCalipersAgree(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("too few strips for a median: left out under -short")
	}
	for _, r := range rhythm.All() {
		t.Run(r.ID, func(t *testing.T) {
			t.Parallel()
			for _, age := range ages(r) {
				f := far{}
				for seed := uint64(1); seed <= min(strips(t), 10); seed++ {
					s, m := render(t, ecg.Synthetic(r.ID, age, seed), seconds(r))
					if len(m.Beats) == 0 {
						continue
					}
					found := measured(s, lookAt(m, rand.New(rand.NewPCG(seed, 0))), age).marks()
					usual := usualBeats(m)
					for b, beat := range m.Beats {
						if usual(beat) {
							f.compare(beat, found.Beats[b], age)
						}
					}
				}
				assert.Empty(t, f.apart(r, age))
			}
		})
	}
}

// readerAgrees is the share of medians that the reader that is told nothing finds as near
// to the truth; it may only rise.
const readerAgrees = 0.94

func TestTruthAndReaderAgree(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("too few strips for a median: left out under -short")
	}
	var mu sync.Mutex
	wrong, of := 0, 0
	t.Run("all", func(t *testing.T) {
		for _, r := range rhythm.All() {
			t.Run(r.ID, func(t *testing.T) {
				t.Parallel()
				for _, age := range ages(r) {
					f := far{}
					for seed := uint64(1); seed <= min(strips(t), 5); seed++ {
						s, m := render(t, ecg.Synthetic(r.ID, age, seed), seconds(r))
						if len(m.Beats) == 0 {
							continue
						}
						lead, _ := clearest(s, m)
						read, err := measure.Read(s, lead, measure.WithLimits(limitsFor(age)))
						require.NoError(t, err)
						usual := usualBeats(m)
						for _, beat := range m.Beats {
							if found, ok := nearestBeat(read.Marks.Beats, beat); ok && usual(beat) {
								f.compare(beat, found, age)
							}
						}
					}
					apart := f.apart(r, age)
					for _, what := range apart {
						t.Log("read blind: " + what)
					}
					mu.Lock()
					wrong, of = wrong+len(apart), of+len(f)
					mu.Unlock()
				}
			})
		}
	})
	t.Logf("read blind: %d of %d medians are farther from the truth than allowed", wrong, of)
	assert.GreaterOrEqual(t, 1-float64(wrong)/float64(of), readerAgrees)
}

// nearestBeat is the found beat whose QRS is within 60 ms of a true one.
func nearestBeat(found []ecg.Beat, truth ecg.Beat) (ecg.Beat, bool) {
	for _, b := range found {
		if math.Abs(b.QRS.Peak-truth.QRS.Peak) < 0.06 {
			return b, true
		}
	}
	return ecg.Beat{}, false
}
