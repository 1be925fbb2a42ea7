package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// conductedP looks for the usual P of the usual beats.
func (m *marker) conductedP(v []float64, size float64, regular bool) (pWave, bool) {
	c, main := m.complex[0], m.shapes[0].beats
	lastT, quiet := make([]float64, 0, len(main)), make([]float64, 0, len(main)) // relative to the beat: the T before it, and where P may begin
	for _, b := range main {
		if b == 0 {
			continue
		}
		gap, last := m.at[b]-m.at[b-1], m.complex[m.group[b-1]]
		if last.hasT { // P may stand on the end of T
			lastT = append(lastT, float64(last.tPeak-gap))
			quiet = append(quiet, float64(last.tPeak-gap)+0.02*m.rate)
		} else {
			quiet = append(quiet, float64(last.off-gap)+0.08*m.rate)
		}
	}
	if len(quiet) == 0 {
		return pWave{}, false
	}
	repeat := pRepeat
	if !regular {
		repeat = pRepeatIrregular
	}
	p, ok := usualP(v, m.at, main, c.on, int(median(quiet)), size, repeat, m.rate)
	if ok && math.Abs(median(lastT)-float64(p.peak)) < pDistinct*m.rate {
		ok = false // that is the T wave
	}
	if !ok && len(lastT) > 0 && regular {
		return usualOnT(v, m.at, main, c.on, int(median(lastT)), size, repeat, m.rate)
	}
	return p, ok
}

// assignP gives each beat the usual P where it stands before it, and returns the P
// waves in time order. A shape that is wide, and whose beats mostly have no P or
// come early, is not conducted: what stands before one of them is chance.
func (m *marker) assignP(v []float64, p pWave) []ecg.Span {
	all := make([]ecg.Span, 0, len(m.beats))
	usual := float64(m.complex[0].off - m.complex[0].on)
	for g, s := range m.shapes {
		wide := float64(m.complex[g].off-m.complex[g].on) > ectopicWidth*usual
		with := make([]int, 0, len(s.beats))
		for k, b := range s.beats {
			var to place
			if g == 0 {
				to = p.usual[k]
			} else {
				to.lag, to.found = p.find(v, m.at[b], m.rate)
			}
			if !to.found || wide && m.early(b) {
				continue
			}
			m.beats[b].P = m.seconds(float64(m.at[b])+to.lag, p.onset, p.peak, p.offset)
			all = append(all, m.beats[b].P)
			with = append(with, b)
		}
		if wide && float64(len(with)) < pRepeat*float64(len(s.beats)) {
			for _, b := range with {
				m.beats[b].P = ecg.Span{}
			}
		}
	}
	for i := 1; i < len(m.beats); i++ { // T ends where the next P begins
		if t, p := &m.beats[i-1].T, m.beats[i].P; t.Present() && p.Present() && t.Offset > p.Onset {
			t.Offset = max(p.Onset, t.Peak)
		}
	}
	return inOrder(all)
}
