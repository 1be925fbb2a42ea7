package artifact

import (
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// Two clips sit on each other's electrodes. What each lead then shows follows from
// the potentials. A seed draws pairs that change lead II, which is shown first, and the
// arms, the commonest, twice.
var swappedElectrodes = Kind{
	Lesson: swappedElectrodesLesson,
	Drawn:  []string{"RA-LA", "RA-LA", "RA-LL", "RA-RL"},
	Named:  []string{"LA-LL", "LA-RL", "LL-RL"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		a, b := Pair(s.Place)
		return swap(src, s.Electrodes, a, b)
	},
}

// Pair is the two electrodes of a place of swapped electrodes.
func Pair(place string) (a, b ecg.Electrode) {
	first, second, _ := strings.Cut(place, "-")
	return ecg.Electrode(first), ecg.Electrode(second)
}

// swap exchanges two clips over a source of electrode potentials. The reference RL
// is taken to lie at the potential of LL, as is usual for both legs; a clip on RL
// therefore records what LL does.
func swap(src ecg.Source, electrodes []ecg.Electrode, a, b ecg.Electrode) ecg.Source {
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
