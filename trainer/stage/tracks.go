package stage

import "telltrace/trainer/paper"

// A track is one lead on the page.
type track struct {
	lead     int // index into the feed's
	rows     int
	baseline float64 // mV at its middle line
	canvas   *paper.Canvas
}

// leastRows are the fewest rows a lead is drawn in: 1.5 mV at the base scale.
const leastRows = 6

// lay makes the tracks: the lead in front, and those after it that are shown
// together with it. Each has an even number of rows, so that its middle line lies on
// a box line; what is left over is the first one's.
func (s *Stage) lay() {
	n := max(1, min(s.together, s.rows/leastRows, len(s.leads)))
	each := s.rows / n / 2 * 2
	s.tracks = make([]track, n)
	for i := range s.tracks {
		s.tracks[i] = track{lead: (s.lead + i) % len(s.leads), rows: each, canvas: paper.NewCanvas(s.look)}
	}
	s.tracks[0].rows = s.rows - (n-1)*each
}

// viewOf is the view of a track.
func (s *Stage) viewOf(t *track) paper.View {
	v := s.view
	v.Rows, v.Baseline = t.rows, t.baseline
	return v
}

// MoreLeads shows one lead more below the one in front, and after three, or as many
// as there is room for, that one alone again.
func (s *Stage) MoreLeads() {
	const most = 3
	s.together = len(s.tracks)%most + 1
	s.tracks = nil
	s.place()
	if len(s.tracks) < s.together {
		s.together, s.tracks = 1, nil
		s.place()
	}
}
