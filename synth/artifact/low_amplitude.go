package artifact

import "telltrace/synth/ecg"

// Wet skin joins the electrodes: everything is small, nothing is changed.
var lowAmplitude = Kind{
	Lesson: lowAmplitudeLesson,
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		return &shrunk{src, 0.16 + 0.08*s.RNG.Float64()}
	},
}

// A shrunk source is its source times a constant.
type shrunk struct {
	src ecg.Source
	by  float64
}

func (s *shrunk) Fill(dst [][]float64) (int, error) {
	n, err := s.src.Fill(dst)
	for _, row := range dst {
		for i := range n {
			row[i] *= s.by
		}
	}
	return n, err
}
