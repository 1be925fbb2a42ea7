package measure

import "sync"

// A desk lends rows of samples to one reading. Whoever takes one fills it and keeps it
// no longer than the reading lasts; nil lends as well, and never gets anything back.
type desk struct {
	rows [][]float64
	used int
}

var desks = sync.Pool{New: func() any { return new(desk) }}

// row lends n samples, whatever they hold.
func (d *desk) row(n int) []float64 {
	if d == nil {
		return make([]float64, n)
	}
	if d.used == len(d.rows) {
		d.rows = append(d.rows, nil)
	}
	r := &d.rows[d.used]
	d.used++
	if cap(*r) < n {
		*r = make([]float64, n)
	}
	return (*r)[:n]
}

// clear takes all rows back, but for those of a strip so long that they would be a burden.
func (d *desk) clear() {
	d.used = 0
	if len(d.rows) > 0 && cap(d.rows[0]) > deskSamples {
		d.rows = nil
	}
	desks.Put(d)
}

// deskSamples is the longest row that is kept: half an hour at 500 Hz.
const deskSamples = 900_000
