package artifact

import (
	"math"

	"telltrace/synth/ecg"
)

// During lays a wrapper over a source for a time only, from and to in seconds: a
// lead comes off and is put back, a child moves and rests. Outside that time the
// source is untouched.
func During(src ecg.Source, by func(ecg.Source, Setting) ecg.Source, s Setting, from, to float64) ecg.Source {
	d := &during{src: src, from: int64(math.Ceil(from * s.Rate)), to: int64(math.Ceil(to * s.Rate))}
	d.wrapped = by(&d.given, s)
	return d
}

type during struct {
	src      ecg.Source
	wrapped  ecg.Source
	given    given
	frame    int64
	from, to int64
}

func (d *during) Fill(dst [][]float64) (int, error) {
	n, err := d.src.Fill(dst)
	a, b := max(d.from-d.frame, 0), min(d.to-d.frame, int64(n))
	d.frame += int64(n)
	if a >= b {
		return n, err
	}
	part := make([][]float64, len(dst))
	for i, row := range dst {
		part[i] = row[a:b]
	}
	d.given.take(part)
	if _, failed := d.wrapped.Fill(part); failed != nil {
		return n, failed
	}
	return n, err
}

// given is a source of frames that are there already.
type given struct{ rows [][]float64 }

func (g *given) take(rows [][]float64) {
	g.rows = g.rows[:0]
	for _, row := range rows {
		g.rows = append(g.rows, append([]float64(nil), row...))
	}
}

func (g *given) Fill(dst [][]float64) (int, error) {
	for i, row := range g.rows {
		copy(dst[i], row)
	}
	return len(dst[0]), nil
}
