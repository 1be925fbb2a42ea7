package artifact

import (
	"math"

	"telltrace/synth/ecg"
)

// A clip came off: every lead that uses its electrode is flat but for a little
// mains pick-up, the others go on, and so does the pulse.
var disconnectedLead = Kind{
	Lesson: disconnectedLeadLesson,
	Drawn:  []string{"RA", "LL"},
	Named:  []string{"LA", "RL", "V"},
	Leads: func(src ecg.Source, s Setting) ecg.Source {
		o := &off{src: src, hum: newHum(s)}
		for _, l := range s.Leads {
			o.dead = append(o.dead, uses(l, s.at()))
		}
		return o
	},
}

type off struct {
	src  ecg.Source
	dead []bool
	hum  hum
}

func (o *off) Fill(dst [][]float64) (int, error) {
	n, err := o.src.Fill(dst)
	start := o.hum.frame
	for row, dead := range o.dead {
		if !dead {
			continue
		}
		o.hum.frame = start
		for i := range n {
			dst[row][i] = o.hum.next()
		}
	}
	o.hum.frame = start + int64(n)
	return n, err
}

// hum is mains pick-up of constant height.
type hum struct {
	frame  int64
	period int64 // frames after which the sine repeats exactly
	table  []float64
}

// mainsHz is the frequency of the invented ward's mains.
const mainsHz = 50

func newHum(s Setting) hum {
	height := 0.006 + 0.008*s.RNG.Float64() // mV
	rate := int64(math.Round(s.Rate))
	h := hum{period: rate, table: make([]float64, rate)} // one second holds whole periods
	for i := range h.table {
		h.table[i] = height * math.Sin(2*math.Pi*mainsHz*float64(i)/float64(rate))
	}
	return h
}

func (h *hum) next() float64 {
	v := h.table[h.frame%h.period]
	h.frame++
	return v
}
