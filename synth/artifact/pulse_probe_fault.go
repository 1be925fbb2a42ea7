package artifact

import (
	"math/rand/v2"

	"telltrace/synth/ecg"
)

// The probe has come off or the hand is cold: the pulse trace is flat though the
// heart beats and the leads show it.
var pulseProbeFault = Kind{
	Lesson: pulseProbeFaultLesson,
	Sites:  []ecg.Electrode{ecg.RA},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		return &faint{src, 0.004 * s.RNG.Float64(), s.RNG}
	},
}

// faint is a pulse trace of which next to nothing gets through.
type faint struct {
	src ecg.Source
	by  float64
	rng *rand.Rand
}

func (f *faint) Fill(dst [][]float64) (int, error) {
	n, err := f.src.Fill(dst)
	for i := range n {
		dst[0][i] = dst[0][i]*f.by + 0.004*f.rng.NormFloat64()
	}
	return n, err
}
