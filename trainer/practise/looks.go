package practise

import (
	"time"
)

// lookTakes is what looking costs.
const lookTakes = time.Second

// A glance is one act of looking, done once its time has passed.
type glance struct {
	what string
	at   time.Time
}

// look begins one act of looking, unless the same is still being looked at.
func (m *Model) look(what string) {
	if m.looking() {
		return // one look at a time
	}
	m.looks = append(m.looks, glance{what, m.now})
}

// looking reports whether an act of looking is under way.
func (m *Model) looking() bool {
	n := len(m.looks)
	return n > 0 && m.now.Sub(m.looks[n-1].at) < lookTakes
}

// seen reports whether something has been looked at, and whether it is being looked
// at right now.
func (m *Model) seen(what string) (seen, looking bool) {
	for _, l := range m.looks {
		if l.what == what {
			if m.now.Sub(l.at) >= lookTakes {
				return true, false
			}
			looking = true
		}
	}
	return false, looking
}

// looked lists what has been looked at to the end.
func (m *Model) looked() []string {
	var out []string
	for _, l := range m.looks {
		if m.now.Sub(l.at) >= lookTakes {
			out = append(out, l.what)
		}
	}
	return out
}
