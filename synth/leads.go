package synth

import (
	"fmt"

	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
)

// baseRows is how many of dipole.Base the leads need: the chest only where a chest
// lead is among them.
func baseRows(which []ecg.Lead) int {
	for _, l := range which {
		if w, _ := dipole.FromBase(l); w[2] != 0 {
			return 3
		}
	}
	return 2
}

// leads makes leads of the rows of dipole.Base.
type leads struct {
	src     ecg.Source
	weights [][3]float64
	base    [][]float64 // rows of the present call
	own     [][]float64 // for base rows that no lead shows as they are
	shown   []int       // by base row: the lead that shows it as it is, -1 for none
}

func newLeads(src ecg.Source, which []ecg.Lead) (*leads, error) {
	rows := baseRows(which)
	l := &leads{src: src, base: make([][]float64, rows), own: make([][]float64, rows), shown: make([]int, rows)}
	for b := range l.shown {
		l.shown[b] = -1
	}
	for i, lead := range which {
		w, ok := dipole.FromBase(lead)
		if !ok {
			return nil, fmt.Errorf("lead %q cannot be made from these electrodes; known are I, II, III, aVR, aVL, aVF, V1", lead)
		}
		l.weights = append(l.weights, w)
		for b := range l.shown {
			unit := [3]float64{}
			if unit[b] = 1; w == unit && l.shown[b] < 0 {
				l.shown[b] = i
			}
		}
	}
	return l, nil
}

func (l *leads) Fill(dst [][]float64) (int, error) {
	for b, lead := range l.shown {
		if lead >= 0 {
			l.base[b] = dst[lead]
			continue
		}
		if cap(l.own[b]) < len(dst[0]) {
			l.own[b] = make([]float64, len(dst[0]))
		}
		l.base[b] = l.own[b][:len(dst[0])]
	}
	n, err := l.src.Fill(l.base)
	for i, w := range l.weights {
		if b := l.base; len(b) == 3 && w[2] != 0 && l.shown[2] != i {
			combine3(dst[i][:n], w, b[0], b[1], b[2])
		} else if l.shown[0] != i && l.shown[1] != i && (len(b) == 2 || l.shown[2] != i) {
			combine2(dst[i][:n], w[0], w[1], b[0], b[1])
		}
	}
	return n, err
}

func combine2(out []float64, wa, wb float64, a, b []float64) {
	a, b = a[:len(out)], b[:len(out)]
	for i := range out {
		out[i] = wa*a[i] + wb*b[i]
	}
}

func combine3(out []float64, w [3]float64, a, b, c []float64) {
	a, b, c = a[:len(out)], b[:len(out)], c[:len(out)]
	for i := range out {
		out[i] = w[0]*a[i] + w[1]*b[i] + w[2]*c[i]
	}
}

// atElectrodes lets by disturb the electrode potentials behind the rows of
// dipole.Base: they are worked out, disturbed, and made into the base again.
func atElectrodes(src ecg.Source, rows int, by func(ecg.Source) ecg.Source) ecg.Source {
	return &rebased{src: by(&potentials{src: src, rows: rows}), n: rows}
}

// potentials are the four electrodes of a base; without its chest row the chest
// electrode lies at the mean of the limbs.
type potentials struct {
	src  ecg.Source
	rows int
	base [][]float64
}

func (p *potentials) Fill(dst [][]float64) (int, error) {
	p.base = sized(p.base, p.rows, len(dst[0]))
	n, err := p.src.Fill(p.base)
	for e, w := range dipole.Potentials {
		if p.rows == 3 {
			combine3(dst[e][:n], w, p.base[0], p.base[1], p.base[2])
		} else {
			combine2(dst[e][:n], w[0], w[1], p.base[0], p.base[1])
		}
	}
	return n, err
}

// rebased is the base of four electrodes.
type rebased struct {
	src  ecg.Source
	n    int
	rows [][]float64
}

func (r *rebased) Fill(dst [][]float64) (int, error) {
	r.rows = sized(r.rows, len(dipole.Electrodes), len(dst[0]))
	n, err := r.src.Fill(r.rows)
	for b, lead := range dipole.Base[:r.n] {
		w, _ := dipole.Weights(lead)
		out, e := dst[b][:n], r.rows
		for i := range out {
			out[i] = w[0]*e[0][i] + w[1]*e[1][i] + w[2]*e[2][i] + w[3]*e[3][i]
		}
	}
	return n, err
}

// sized makes rows of a length, keeping the memory.
func sized(rows [][]float64, n, length int) [][]float64 {
	if len(rows) != n {
		rows = make([][]float64, n)
	}
	for i := range rows {
		if cap(rows[i]) < length {
			rows[i] = make([]float64, length)
		}
		rows[i] = rows[i][:length]
	}
	return rows
}
