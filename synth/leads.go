package synth

import (
	"fmt"

	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
)

// leads turns electrode potentials into leads: differences, one row per lead.
type leads struct {
	src     ecg.Source
	weights [][4]float64
	rows    [4][]float64 // electrode potentials of the present call
}

func newLeads(src ecg.Source, which []ecg.Lead) (*leads, error) {
	l := &leads{src: src}
	for _, lead := range which {
		w, ok := dipole.Weights(lead)
		if !ok {
			return nil, fmt.Errorf("lead %q cannot be made from these electrodes; known are I, II, III, aVR, aVL, aVF, V1", lead)
		}
		l.weights = append(l.weights, w)
	}
	return l, nil
}

func (l *leads) Fill(dst [][]float64) (int, error) {
	want := len(dst[0])
	for i := range l.rows {
		if cap(l.rows[i]) < want {
			l.rows[i] = make([]float64, want)
		}
		l.rows[i] = l.rows[i][:want]
	}
	n, err := l.src.Fill(l.rows[:])
	r0, r1, r2, r3 := l.rows[0][:n], l.rows[1][:n], l.rows[2][:n], l.rows[3][:n]
	for row, w := range l.weights {
		out := dst[row][:n]
		for i := range out {
			out[i] = w[0]*r0[i] + w[1]*r1[i] + w[2]*r2[i] + w[3]*r3[i]
		}
	}
	return n, err
}
