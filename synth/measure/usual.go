package measure

// usualFirst makes group 0 that of the usual beats: the narrow ones where they are
// not rare, for in bigeminy or a run the wide ones may be as many or more.
func (m *marker) usualFirst() {
	width := func(g int) int { return m.complex[g].off - m.complex[g].on }
	usual := 0
	for g, s := range m.shapes {
		n, most := len(s.beats), len(m.shapes[0].beats)
		if n > 1 && 3*n >= most && 5*width(usual) > 6*width(g) || n > 2 && 6*n >= most && 3*width(usual) > 4*width(g) {
			usual = g
		}
	}
	if usual == 0 {
		return
	}
	m.shapes[0], m.shapes[usual] = m.shapes[usual], m.shapes[0]
	m.complex[0], m.complex[usual] = m.complex[usual], m.complex[0]
	for b, g := range m.group {
		switch g {
		case 0:
			m.group[b] = usual
		case usual:
			m.group[b] = 0
		}
	}
}

// usualRR is the median RR after the beats in s; 1 s when there is none.
func (m *marker) usualRR(beats []int) float64 {
	rr := make([]float64, 0, len(beats))
	for _, b := range beats {
		if b+1 < len(m.at) {
			rr = append(rr, float64(m.at[b+1]-m.at[b])/m.rate)
		}
	}
	if len(rr) == 0 {
		return 1
	}
	return median(rr)
}

// beforeWide reports whether most of the beats in s are followed by wider ones of another shape,
// that come early.
func (m *marker) beforeWide(beats []int) bool {
	width := func(b int) float64 { c := m.complex[m.group[b]]; return float64(c.off - c.on) }
	n := 0
	for _, b := range beats {
		if b+1 < len(m.at) && m.group[b+1] != m.group[b] && width(b+1) > ectopicWidth*width(b) && m.early(b+1) {
			n++
		}
	}
	return 2*n > len(beats)
}

// usualRRBefore is the median RR before the beats in s; 1 s when there is none.
func (m *marker) usualRRBefore(beats []int) float64 {
	last := make([]int, 0, len(beats))
	for _, b := range beats {
		if b > 0 {
			last = append(last, b-1)
		}
	}
	return m.usualRR(last)
}

// oneShape reports whether most beats are of the usual shape.
func (m *marker) oneShape() bool {
	return float64(len(m.shapes[0].beats)) >= 0.6*float64(len(m.at))
}

// ownRR is the mean RR in s between usual beats that follow one another, NaN without.
func (m *marker) ownRR() float64 {
	mean, _ := meanAndCV(m.betweenUsual())
	return mean
}

func (m *marker) betweenUsual() []float64 {
	rr := make([]float64, 0, len(m.at))
	for b := 1; b < len(m.at); b++ {
		if m.group[b] == 0 && m.group[b-1] == 0 {
			rr = append(rr, float64(m.at[b]-m.at[b-1])/m.rate)
		}
	}
	return rr
}

// usualPP is the median distance in samples from the P of one beat to that of the next, 0 without.
func (m *marker) usualPP() float64 {
	pp := make([]float64, 0, len(m.beats))
	for b := 1; b < len(m.beats); b++ {
		if last, p := m.beats[b-1].P, m.beats[b].P; last.Present() && p.Present() {
			pp = append(pp, (p.Peak-last.Peak)*m.rate)
		}
	}
	if len(pp) == 0 {
		return 0
	}
	return median(pp)
}

// usualCV is the variation of RR between usual beats that follow one another.
func (m *marker) usualCV() float64 {
	_, cv := meanAndCV(m.betweenUsual())
	return cv
}
