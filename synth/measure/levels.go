package measure

import "math"

// Levels are heights of the usual beats in mV over the isoelectric line, which runs
// through the PR segment. Where a recording is not calibrated they mean nothing.
type Levels struct {
	R          float64 // tallest point of the QRS
	S          float64 // deepest point of the QRS, negative
	PeakToPeak float64 // of the QRS
	T          float64 // at its peak, negative when inverted; NaN without T
	ST         float64 // 60 ms after the end of QRS (ST60)
	STSpread   float64 // highest less lowest ST of single beats
}

// stAfter is where ST is read after the end of QRS, s (common practice: J+60 ms).
const stAfter = 0.060

func noLevels() Levels {
	n := math.NaN()
	return Levels{n, n, n, n, n, n}
}

// measureLevels reads heights, the slow start and the turn of polarity.
func (r *Reading) measureLevels(m *marker) {
	c, beats := m.complex[0], m.shapes[0].beats
	reach := c.off + int((stAfter+0.02)*m.rate)
	a := averaged(m.flat, m.at, beats, 2-c.on, reach, m.rate)
	l := &r.Levels
	l.R, l.S = math.Inf(-1), math.Inf(1)
	for i := a.before + c.on; i <= a.before+c.off; i++ {
		l.R, l.S = max(l.R, a.mv[i]), min(l.S, a.mv[i])
	}
	l.PeakToPeak = l.R - l.S
	l.ST = a.mv[a.before+c.off+int(stAfter*m.rate)]
	if c.hasT {
		l.T = c.tHeight
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, b := range beats {
		if i := m.at[b] + c.off + int(stAfter*m.rate); i >= 0 && i < len(m.flat) {
			low, high = min(low, m.flat[i]), max(high, m.flat[i])
		}
	}
	if high > low {
		l.STSpread = high - low
	}
	whole := averaged(m.flat, m.at, beats, int((steepReach+0.02)*m.rate), int((steepReach+0.02)*m.rate), m.rate)
	from, to := whole.steep(median(r.RR))
	r.core = float64(to-from) / m.rate
	r.Delta = slowStart(a, c, m.rate)
	r.points = m.directions()
	r.Twist = r.twist(func(int) bool { return true })
}

// slowStart is the time from the onset of a QRS to where its slope reaches half of
// its steepest: long where a delta wave begins it.
func slowStart(a average, c complex, rate float64) float64 {
	h := max(1, int(edgeStep*rate))
	top := 0.0
	at := func(i int) float64 {
		return math.Abs(a.mv[min(max(i+h, 0), len(a.mv)-1)] - a.mv[min(max(i-h, 0), len(a.mv)-1)])
	}
	for i := c.on; i <= c.off; i++ {
		top = max(top, at(a.before+i))
	}
	for i := c.on; i <= c.off; i++ {
		if at(a.before+i) >= 0.5*top {
			return float64(i-c.on) / rate
		}
	}
	return math.NaN()
}

// directions is how far each QRS points up or down: its height less its depth, mV.
func (m *marker) directions() []float64 {
	tops := make([]float64, len(m.at))
	for b, at := range m.at {
		c := m.complex[m.group[b]]
		if from, to := max(0, at+c.on), min(len(m.flat), at+c.off+1); from < to {
			low, high := extremes(m.flat[from:to])
			tops[b] = max(high, 0) + min(low, 0)
		}
	}
	return tops
}

// twist is 1 when the beats that count point up in one part of the strip and down in
// another as far, 0 when all point one way: the smaller over the larger of the tallest
// and deepest mean of two neighbours.
func (r *Reading) twist(counts func(i int) bool) float64 {
	up, down, last := 0.0, 0.0, math.NaN()
	for i, v := range r.points {
		if !counts(i) {
			continue
		}
		mean := (v + last) / 2
		if mean > up {
			up = mean
		}
		if -mean > down {
			down = -mean
		}
		last = v
	}
	if max(up, down) == 0 {
		return 0
	}
	return min(up, down) / max(up, down)
}

// SixSeconds is the rate by the six-second method: complexes in the six seconds from
// time from on, times ten (handbook rule). ok is false when the strip does not hold
// them.
func (r Reading) SixSeconds(from, seconds float64) (bpm float64, ok bool) {
	if from < 0 || from+6 > seconds {
		return 0, false
	}
	n := 0
	for _, b := range r.Marks.Beats {
		if b.QRS.Peak >= from && b.QRS.Peak < from+6 {
			n++
		}
	}
	return float64(10 * n), true
}

// SmallBoxes is the rate by the method of small boxes: 1500 over the number of boxes
// of 1 mm at 25 mm/s from R to R, counted to the nearest box (handbook rule). ok is
// false without such a beat.
func (r Reading) SmallBoxes(beat int) (bpm float64, ok bool) {
	if beat < 1 || beat >= len(r.Marks.Beats) {
		return 0, false
	}
	boxes := math.Round((r.Marks.Beats[beat].QRS.Peak - r.Marks.Beats[beat-1].QRS.Peak) / smallBox)
	if boxes < 1 {
		return 0, false
	}
	return 1500 / boxes, true
}

// smallBox is 1 mm at 25 mm/s, s.
const smallBox = 0.040
