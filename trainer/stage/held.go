package stage

import (
	"cmp"
	"math"

	"telltrace/trainer/paper"
)

// Pan moves a held strip by a share of the window, back in time for a positive one.
func (s *Stage) Pan(share float64) { s.bringTo(s.right() - share*s.view.Seconds()) }

// bringTo lets the page of a held strip end at a strip time, as far as there is tape.
func (s *Stage) bringTo(right float64) {
	if s.Held() {
		s.stands = math.Min(math.Max(right, s.tape.Start()+s.view.Seconds()), s.edge)
		s.place()
	}
}

// Reach is the stretch of strip time that a held strip can show, s.
func (s *Stage) Reach() (from, to float64) { return s.tape.Start(), s.edge }

// Bring pans a held strip as little as needed to show a strip time.
func (s *Stage) Bring(at float64) {
	margin := 2 / s.view.DotsPerSecond()
	s.bringTo(s.view.PanTo(at, at+margin).Left + s.view.Seconds())
}

// SetLegs puts calipers on the strip, nil none.
func (s *Stage) SetLegs(l *paper.Legs) { s.legs = l }

// The paper speeds there are to choose from, mm/s.
const (
	usualSpeed = paper.DefaultSpeed
	fastSpeed  = 2 * usualSpeed
)

// Speed is the paper speed, mm/s.
func (s *Stage) Speed() float64 { return cmp.Or(s.view.Speed, usualSpeed) }

// ChangeSpeed changes between 25 and 50 mm/s.
func (s *Stage) ChangeSpeed() {
	s.view.Speed = usualSpeed + fastSpeed - s.Speed()
	s.rescale(s.view.Scale)
}
