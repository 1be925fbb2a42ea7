package artifact

import (
	"math/rand/v2"
	"slices"

	"telltrace/synth/ecg"
)

// Two clips sit on each other's electrodes. What each lead then shows follows from
// the potentials. Site is the first of the two, Partner the second.
var swappedElectrodes = Kind{
	Lesson: swappedElectrodesLesson,
	Sites:  []ecg.Electrode{ecg.RA},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		return Swap(src, s.Electrodes, s.At, Partner(s.Seed))
	},
}

// Partner is the electrode whose clip changed places with the right arm's in the
// strip with the given seed.
func Partner(seed uint64) ecg.Electrode {
	return []ecg.Electrode{ecg.LA, ecg.LA, ecg.LL, ecg.RL}[rand.New(rand.NewPCG(seed, 0x5a9)).IntN(4)]
}

// Swap exchanges two clips over a source of electrode potentials. The reference RL
// is taken to lie at the potential of LL, as is usual for both legs; a clip on RL
// therefore records what LL does.
func Swap(src ecg.Source, electrodes []ecg.Electrode, a, b ecg.Electrode) ecg.Source {
	at := func(e ecg.Electrode) int {
		if e == ecg.RL {
			e = ecg.LL
		}
		return slices.Index(electrodes, e)
	}
	s := &swapped{src: src}
	for i, e := range electrodes {
		switch e {
		case a:
			s.from = append(s.from, at(b))
		case b:
			s.from = append(s.from, at(a))
		default:
			s.from = append(s.from, i)
		}
	}
	return s
}

type swapped struct {
	src  ecg.Source
	from []int // row of the source that each row shows
	rows [][]float64
}

func (s *swapped) Fill(dst [][]float64) (int, error) {
	if len(s.rows) == 0 {
		s.rows = make([][]float64, len(dst))
	}
	for i := range s.rows {
		if cap(s.rows[i]) < len(dst[0]) {
			s.rows[i] = make([]float64, len(dst[0]))
		}
		s.rows[i] = s.rows[i][:len(dst[0])]
	}
	n, err := s.src.Fill(s.rows)
	for i, row := range dst {
		copy(row[:n], s.rows[s.from[i]][:n])
	}
	return n, err
}
