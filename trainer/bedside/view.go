package bedside

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scenarios/script"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Rows that do not depend on the window: title, numbers, patient, what happens, four of
// the bedside, four of things to do, keys.
const fixedRows = 13

// bestStrip is the most rows a strip takes: 4 mV at the base scale.
const bestStrip = 20

// layout shares the window out.
func (m *Model) layout() {
	if m.cols == 0 || m.phase == failed {
		return
	}
	room := m.rows - fixedRows
	under := max(2, min(4, room/5))
	strip := min(room-under, bestStrip)
	strip -= strip % 2 // the middle line lies on a box line
	m.stage.Resize(m.cols, strip, under)
	if m.phase == debrief {
		m.write()
	}
}

// room is how many lines of the debrief fit.
func (m *Model) room() int { return max(m.rows-2, 1) }

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	switch m.phase {
	case failed:
		return m.page([]string{m.title(), "", "This scenario cannot be shown: " + m.broken.Error()})
	case asking:
		return m.page(m.question())
	case debrief:
		lines := append([]string{m.title()}, m.lines[m.from:min(m.from+m.room(), len(m.lines))]...)
		return m.page(lines)
	}
	return m.page(append(append([]string{m.title()}, m.stage.Draw(nil)...), m.beneath()...))
}

// Paint is View with the strip as a band while it may move.
func (m *Model) Paint() (string, []glass.Band) {
	if m.phase > over {
		return m.View(), nil
	}
	rows, bands := m.stage.Paint(1)
	return m.page(append(append([]string{m.title()}, rows...), m.beneath()...)), bands
}

func (m *Model) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

func (m *Model) cut(s string) string { return ansi.Truncate(s, m.cols, "…") }

// title is the first line.
func (m *Model) title() string {
	l := m.env.Look
	left := m.script.Title
	if m.phase <= over {
		left += "   " + m.stage.Header()
	}
	right := clock(m.play.Now())
	switch {
	case m.trouble != nil:
		right = "answers are not kept yet: r tries again"
	case m.env.Notice != "":
		right = m.env.Notice
	case m.phase >= asking:
		right = "training only"
	}
	left = ansi.Truncate(left, max(m.cols-ansi.StringWidth(right)-1, 10), "…")
	gap := max(m.cols-ansi.StringWidth(left)-ansi.StringWidth(right), 1)
	return l.Title.Render(left) + strings.Repeat(" ", gap) + l.Faint.Render(ansi.Truncate(right, max(m.cols-ansi.StringWidth(left)-1, 0), "…"))
}

// beneath is what stands under the strip.
func (m *Model) beneath() []string {
	l := m.env.Look
	patient := m.script.Patient.Sentence
	if more := fmt.Sprintf("%s %g kg. %s", patient, m.script.Patient.Weight, look.PatientFirst); ansi.StringWidth(more) <= m.cols {
		patient = more
	}
	lines := []string{l.Body.Render(m.cut(m.numbers())), l.Body.Render(m.cut(patient)), m.happens()}
	for _, x := range looks {
		if x.look == script.LookLine && !m.script.Arterial {
			continue
		}
		lines = append(lines, m.finding(x.key, x.name, x.look))
	}
	return append(lines, m.toDo()...)
}

// numbers is one plain sentence: what the traces count, and the other vital signs.
func (m *Model) numbers() string {
	r, n := m.stage.Rates(), m.play.Bedside().Numbers
	spo2 := "SpO2 not found"
	if fallen, found := m.feed.Oxygen(); found && n.SpO2 > 0 {
		spo2 = fmt.Sprintf("SpO2 %d %%", n.SpO2-int(math.Round(fallen)))
	}
	ago := n.CuffAgo + int(m.play.Now()/60)
	return fmt.Sprintf("Rate %s (%s), pulse %s, %s, cuff %d/%d %d min ago, breaths %d.", rate(r.Heart, r.HeartOK), m.stage.Lead(),
		rate(r.Pulse, r.PulseOK), spo2, n.Systolic, n.Diastolic, ago, n.Breaths)
}

func rate(bpm float64, ok bool) string {
	if !ok {
		return "none"
	}
	return fmt.Sprintf("%d", int(math.Round(bpm)))
}

// alarmSays is an alarm in words.
func alarmSays(a script.Alarm) string {
	switch a {
	case script.AlarmLow:
		return "low rate"
	case script.AlarmHigh:
		return "high rate"
	case script.AlarmNoBeats:
		return "no beats"
	case script.AlarmVentricular:
		return "a run of wide beats"
	case script.AlarmFibrillates:
		return "fibrillation"
	case script.AlarmSaturation:
		return "low saturation"
	case script.AlarmPressure:
		return "low pressure"
	case script.AlarmElectrode:
		return "electrode off"
	case script.AlarmNoPulse:
		return "no pulse wave"
	default:
		return string(a)
	}
}

// happens is the line on what happens: the alarm, what is told, or how it came out.
func (m *Model) happens() string {
	l := m.env.Look
	e, _ := m.play.Episode()
	if e.Ends() {
		return l.Title.Render(m.cut(e.Outcome))
	}
	words := e.Tells
	alarm, sounds := m.alarming()
	switch {
	case sounds:
		return l.Miss.Render(look.MissMark+" Alarm: "+alarmSays(alarm)+".") + " " + l.Body.Render(ansi.Truncate(words, max(m.cols-30, 0), "…"))
	case alarm != "":
		words = "The alarm is silenced. " + words
	}
	return l.Body.Render(m.cut(words))
}

// finding is one line of what looking shows, hidden until the learner looks.
func (m *Model) finding(press, name string, what script.Look) string {
	l := m.env.Look
	head := fmt.Sprintf("%-11s", name)
	looking, since := m.play.Looking()
	switch {
	case m.play.Seen(what), m.phase == over:
		return l.Body.Render(m.cut(head + m.play.Finding(what)))
	case looking == what && what == script.LookPulse:
		return l.Body.Render(head) + l.Faint.Render(fmt.Sprintf("feeling ... %.0f s, ten at most", math.Floor(since)))
	case looking == what:
		return l.Body.Render(head) + l.Faint.Render("looking ...")
	default:
		return l.Body.Render(head) + l.Key.Render(press) + l.Faint.Render(" to look")
	}
}

// toDo lists what can be done, in two columns.
func (m *Model) toDo() []string {
	l := m.env.Look
	if m.phase == over {
		return []string{"", l.Body.Render("It is over. " + m.onwardWords())}
	}
	half := (len(acts) + 1) / 2
	width := m.cols / 2
	one := func(i int) string {
		a := acts[i]
		style := l.Choice
		if i == m.chosen {
			style = l.Chosen
		}
		words := ansi.Truncate(l.Mark(i == m.chosen)+a.key+" "+a.says, width-1, "…")
		return style.Render(words) + strings.Repeat(" ", max(width-ansi.StringWidth(words), 0))
	}
	var lines []string
	for i := range half {
		lines = append(lines, one(i)+strings.TrimRight(one(i+half), " "))
	}
	return lines
}

func (m *Model) onwardWords() string {
	if len(m.script.Questions) > 0 {
		return "Enter leads to a question, and then to what was expected."
	}
	return "Enter leads to what was expected."
}

// question is the question being asked.
func (m *Model) question() []string {
	l := m.env.Look
	q := m.script.Questions[m.asked]
	lines := []string{m.title(), "", l.Title.Render(m.cut(q.Ask)), ""}
	for i, a := range q.Answers {
		style := l.Choice
		if i == m.chosen {
			style = l.Chosen
		}
		lines = append(lines, style.Render(m.cut(fmt.Sprintf("%s%d  %s", l.Mark(i == m.chosen), i+1, a))))
	}
	return lines
}
