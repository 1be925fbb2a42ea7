package shift

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/watch"
)

// A setting is a pair of alarm limits being typed for the bed in front.
type setting struct {
	on     bool
	typed  [2]string // the low one, the high one
	at     int       // which is being typed
	amends bool      // what stands there was set before: the first digit begins anew
}

type limitKeys struct{ digits, erase, other, set, leave key.Binding }

func newLimitKeys() limitKeys {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	return limitKeys{
		digits: bind("0-9", "type the limit", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9"),
		erase:  bind("backspace", "take the last digit back", "backspace"),
		other:  bind("tab", "low or high", "tab", "shift+tab", "up", "down"),
		set:    bind("enter", "set them", "enter"),
		leave:  bind("esc", "leave them", "esc"),
	}
}

func (k *limitKeys) list() []*key.Binding {
	return []*key.Binding{&k.digits, &k.erase, &k.other, &k.set, &k.leave}
}

// openLimits begins to set the limits of the bed in front, from those there are.
func (m *Model) openLimits() {
	if until, bed, busy := m.watch.Busy(); busy {
		m.said = busyWords(until, bed)
		return
	}
	m.setting, m.said = setting{on: true}, ""
	if r, set := m.watch.Limits(m.bed); set {
		m.setting.typed, m.setting.amends = [2]string{strconv.Itoa(r.Low), strconv.Itoa(r.High)}, true
	}
}

// typeLimits takes a key while limits are typed; every other key waits.
func (m *Model) typeLimits(msg tea.KeyMsg) {
	s := &m.setting
	m.said = ""
	now := &s.typed[s.at]
	const digits = 3
	switch k := m.limitKeys; {
	case key.Matches(msg, k.digits):
		if s.amends {
			*now, s.amends = "", false
		}
		if len(*now) < digits {
			*now += msg.String()
		}
	case key.Matches(msg, k.erase):
		*now, s.amends = (*now)[:max(len(*now)-1, 0)], false
	case key.Matches(msg, k.other):
		s.at = 1 - s.at
		_, s.amends = m.watch.Limits(m.bed)
	case key.Matches(msg, k.leave):
		m.setting = setting{}
	case key.Matches(msg, k.set):
		low, _ := strconv.Atoi(s.typed[0]) // digits only; nothing is 0, which is refused
		high, _ := strconv.Atoi(s.typed[1])
		r := watch.Range{Low: low, High: high}
		if r.Check() != nil {
			m.said = "Not set: low below high, 20 to 300."
			return
		}
		m.setting = setting{}
		if m.watch.SetLimits(m.bed, r) {
			m.said = fmt.Sprintf("The limits of bed %d are %d and %d.", m.bed+1, low, high)
		}
	}
}

// typing is the line in which limits are typed.
func (m *Model) typing() string {
	field := func(i int) string {
		words := fmt.Sprintf("%-3s", m.setting.typed[i])
		if i == m.setting.at {
			return "[" + words + "]"
		}
		return " " + words + " "
	}
	return strings.TrimRight(fmt.Sprintf("Limits of bed %d: low %s high %s %s", m.bed+1, field(0), field(1), m.said), " ")
}

func busyWords(until, bed int) string {
	return fmt.Sprintf("You are busy at bed %d until %s.", bed+1, watch.Clock(until))
}
