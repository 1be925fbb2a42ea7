package synth

import (
	"fmt"
	"slices"

	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
)

// baseRows is how many of dipole.Base the leads need: the chest only where a chest
// lead is among them.
func baseRows(which []ecg.Lead) int {
	if slices.ContainsFunc(which, dipole.Chest) {
		return 3
	}
	return 2
}

// leads makes leads of the rows of dipole.Base, a stretch at a time: what it reads
// was written a moment ago.
type leads struct {
	src   ecg.Source
	frame int64
	mixes []mix
	shown [3]int       // by base row: the lead that shows it as it is, -1 for none
	base  [][]float64  // rows of the present stretch
	dst   [][]float64  // the same of the leads
	own   [3][]float64 // for base rows that no lead shows as they are
}

// leadsAtOnce is how many frames lie between two places of the stream where a stretch
// ends: a multiple of dipole's block, which can then be drawn where it is wanted.
const leadsAtOnce = 512

// A mix is a lead that adds base rows.
type mix struct {
	row     int
	weights [3]float64
}

func newLeads(src ecg.Source, which []ecg.Lead) (*leads, error) {
	l := &leads{src: src, base: make([][]float64, baseRows(which)), dst: make([][]float64, len(which)), shown: [3]int{-1, -1, -1}}
	for i, lead := range which {
		w, ok := dipole.FromBase(lead)
		if !ok {
			return nil, fmt.Errorf("lead %q cannot be made from these electrodes", lead)
		}
		if b := slices.Index(dipole.Base, lead); b >= 0 && l.shown[b] < 0 {
			l.shown[b] = i
			continue
		}
		l.mixes = append(l.mixes, mix{i, w})
	}
	for b := range l.base {
		if l.shown[b] < 0 {
			l.own[b] = make([]float64, leadsAtOnce)
		}
	}
	return l, nil
}

func (l *leads) Fill(dst [][]float64) (int, error) {
	n := 0
	for n < len(dst[0]) {
		take := min(len(dst[0])-n, leadsAtOnce-int(l.frame%leadsAtOnce))
		for i := range dst {
			l.dst[i] = dst[i][n : n+take]
		}
		got, err := l.fill(l.dst)
		n += got
		l.frame += int64(got)
		if err != nil || got < take {
			return n, err
		}
	}
	return n, nil
}

// fill makes a stretch.
func (l *leads) fill(dst [][]float64) (int, error) {
	for b := range l.base {
		if lead := l.shown[b]; lead >= 0 {
			l.base[b] = dst[lead]
		} else {
			l.base[b] = l.own[b][:len(dst[0])]
		}
	}
	n, err := l.src.Fill(l.base)
	for _, m := range l.mixes {
		combine(dst[m.row][:n], m.weights, l.base)
	}
	return n, err
}

// combine adds weighted rows, two or three.
func combine(out []float64, w [3]float64, rows [][]float64) {
	a, b := rows[0][:len(out)], rows[1][:len(out)]
	wa, wb, i := w[0], w[1], 0
	for ; i < len(out)-3; i += 4 {
		out[i] = wa*a[i] + wb*b[i]
		out[i+1] = wa*a[i+1] + wb*b[i+1]
		out[i+2] = wa*a[i+2] + wb*b[i+2]
		out[i+3] = wa*a[i+3] + wb*b[i+3]
	}
	for ; i < len(out); i++ {
		out[i] = wa*a[i] + wb*b[i]
	}
	if w[2] != 0 && len(rows) == 3 {
		for i, c := range rows[2][:len(out)] {
			out[i] += w[2] * c
		}
	}
}

// chestPlace is where the fifth electrode sits: at the chest lead that is shown, V1 where
// none is.
func chestPlace(which []ecg.Lead) ecg.Lead {
	if i := slices.IndexFunc(which, dipole.Chest); i >= 0 {
		return which[i]
	}
	return ecg.V1
}

// atElectrodes lets by disturb the electrode potentials behind the rows of
// dipole.Base: they are worked out for a chest electrode at a place and limb electrodes on
// the limbs or on the trunk, disturbed, and made into the base again.
func atElectrodes(src ecg.Source, rows int, at ecg.Lead, trunk bool, by func(ecg.Source) ecg.Source) ecg.Source {
	weights := dipole.Potentials(at)
	chest := weights[3]
	if trunk {
		weights = dipole.OnTrunk(at)
	}
	return &rebased{src: by(&potentials{src: src, rows: rows, weights: weights}), n: rows, chest: chest}
}

// potentials are the four electrodes of a base; without its chest row the chest
// electrode lies at the mean of the limbs.
type potentials struct {
	src     ecg.Source
	rows    int
	weights [4][3]float64
	base    [][]float64
}

func (p *potentials) Fill(dst [][]float64) (int, error) {
	p.base = sized(p.base, p.rows, len(dst[0]))
	n, err := p.src.Fill(p.base)
	for e, w := range p.weights {
		if p.rows == 2 {
			w[2] = 0
		}
		combine(dst[e][:n], w, p.base)
	}
	return n, err
}

// rebased is the base of four electrodes.
type rebased struct {
	src   ecg.Source
	n     int
	chest [3]float64 // with which the chest electrode adds the base
	rows  [][]float64
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
	if c := r.chest; r.n == 3 && c != [3]float64{0, 0, 1} { // what V1 would be, for that chest lead
		for i := range n {
			dst[2][i] = (dst[2][i] - c[0]*dst[0][i] - c[1]*dst[1][i]) / c[2]
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
