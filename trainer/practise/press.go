package practise

import (
	"errors"
	"io"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
)

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case m.writing:
		return m.write(msg)
	case m.calipers.Press(msg, m.fiducials):
	case key.Matches(msg, m.calipers.Keys.Out):
		return m.takeCalipers()
	case key.Matches(msg, k.back) && m.calipers.Out():
		return m.calipers.PutAway()
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.digits), key.Matches(msg, k.erase):
		m.typeRate(msg)
	case key.Matches(msg, k.atOnce):
		m.askName()
	case key.Matches(msg, k.write):
		m.writing, m.typed, m.meant, m.cursor = true, "", "", -1
		return m.calipers.PutAway()
	case key.Matches(msg, k.choose):
		if i := slices.Index(k.choose.Keys(), msg.String()); i < len(m.choices()) {
			m.cursor = i
		}
	case key.Matches(msg, k.next):
		away := m.calipers.PutAway()
		m.nextRound()
		if errors.Is(m.trouble, io.EOF) {
			return tea.Sequence(away, screen.Say(screen.Back{}))
		}
		return away
	case key.Matches(msg, k.scroll):
		m.explain.scroll(msg.String() == "down")
	case key.Matches(msg, k.up):
		m.cursor = (max(m.cursor, 0) + len(m.choices()) - 1) % len(m.choices())
	case key.Matches(msg, k.down):
		m.cursor = (m.cursor + 1) % len(m.choices())
	case key.Matches(msg, k.commit):
		if m.cursor >= 0 || m.phase == reading && m.typed != "" {
			return m.commit()
		}
	case key.Matches(msg, k.unsure):
		m.unsure = !m.unsure
	case key.Matches(msg, k.child):
		m.look(ledger.LookChild)
	case key.Matches(msg, k.pulse):
		m.look(ledger.LookPulse)
	case key.Matches(msg, k.electrodes):
		m.look(ledger.LookElectrodes)
	case key.Matches(msg, k.hold):
		away := m.calipers.PutAway()
		if m.env.Still {
			m.stage.Turn()
			m.witness()
		} else if m.stage.Held() {
			m.stage.Run(m.now)
		} else {
			m.stage.Hold(m.now)
		}
		return away
	case key.Matches(msg, k.lead):
		m.stage.NextLead()
		m.explain.follow(m.stage)
	case key.Matches(msg, k.more):
		m.stage.MoreLeads()
	case key.Matches(msg, k.scale):
		m.scaled = true
		m.stage.SetScale(paper.Base + paper.Double - m.stage.Scale())
		m.explain.follow(m.stage)
	case key.Matches(msg, k.picture):
		m.stage.TogglePicture()
	case key.Matches(msg, k.speed):
		m.stage.ChangeSpeed()
	case key.Matches(msg, k.pan):
		share := 0.25
		if msg.String() == "right" {
			share = -share
		}
		m.stage.Pan(share)
	case key.Matches(msg, k.retry):
		m.phase = saving
		return m.keep(m.pending)
	}
	return nil
}

// takeCalipers holds the strip and takes the calipers out, or puts them away.
func (m *Model) takeCalipers() tea.Cmd {
	if m.calipers.Out() {
		return m.calipers.PutAway()
	}
	m.stage.Hold(m.now)
	return m.calipers.TakeOut(m.stage)
}

// fiducials are the marks that the calipers snap to: before the answer only what
// can be read back from the samples, so that they give nothing away.
func (m *Model) fiducials() ecg.Marks {
	if m.phase == explained {
		return m.explain.marks
	}
	reading, at, err := m.round.readBack(m.stage)
	if err != nil {
		return ecg.Marks{}
	}
	return reading.Marks.Shift(at)
}
