package practise

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
)

// Rows that do not depend on the window: title, numbers, patient, three of the
// bedside, question, keys.
const fixedRows = 8

// bestStrip is the most rows a strip takes: 4 mV at the base scale.
const bestStrip = 20

// layout shares the window out.
func (m *Model) layout() {
	if m.stage == nil || m.cols == 0 {
		return
	}
	if m.phase == explained {
		m.explain.layout(m)
		return
	}
	answers := max(len(m.round.Choices)+1, len(m.round.Actions), m.stepRows())
	room := m.rows - fixedRows - answers
	under := max(2, min(4, room/6))
	if len(m.round.witnesses()) == 0 {
		under = 0
	}
	strip := min(room-under, bestStrip)
	if strip%2 == 1 {
		strip-- // the middle line lies on a box line
	}
	if !m.scaled {
		m.stage.SetScale(ScaleFor(m.round.Choices, m.round.Age, m.cols, strip))
	}
	m.stage.Resize(m.cols, strip, under)
}

// witnesses are the traces beside the leads.
func (r Round) witnesses() []string {
	if r.Feed == nil {
		return nil
	}
	_, w := r.Feed.Channels()
	out := make([]string, len(w))
	for i, k := range w {
		out[i] = string(k)
	}
	return out
}

// ScaleFor is the scale that a strip of the given size (cells) opens at. What must
// be told apart spans at least three dots, so infants, and choices that hang on what is
// small, open at the double scale where the window has room for it: an infant's beats
// fit a narrower one than slow beats do. It goes by the choices, never by the truth.
func ScaleFor(choices []string, age ecg.Age, cols, rows int) paper.Scale {
	fine := slices.ContainsFunc(choices, func(id string) bool {
		l, ok := synth.Lesson(id)
		return ok && hangsOnWhatIsSmall(l)
	})
	const roomy, broad, broader = 14, 110, 160
	if rows >= roomy && (cols >= broad && (age.Years() < 1 || WantsDouble(choices)) || fine && cols >= broader) {
		return paper.Double
	}
	return paper.Base
}

// WantsDouble reports whether one of the choices is told from another by a P wave or a line
// that takes fewer than three dots at the base scale. Narrow windows open at the base scale
// all the same, and say that z draws it twice as large.
func WantsDouble(choices []string) bool {
	return slices.ContainsFunc(choices, func(id string) bool { return slices.Contains(smallest, id) })
}

// small reports whether the strip is drawn too small for what may tell it.
func (m *Model) small() bool {
	return !m.env.Look.Plain && m.stage.Scale() == paper.Base && (WantsDouble(m.round.Choices) || m.round.Age.Years() < 1)
}

// smallest are those entries; trainer/telling tests that these are enough.
var smallest = []string{
	"p-wave-asystole", "fine-ventricular-fibrillation", "junctional-rhythm", "accelerated-junctional-rhythm",
	"junctional-ectopic-tachycardia", "atrial-tachycardia", "third-degree-av-block", "two-to-one-av-block",
	"pre-excitation", "premature-junctional-beats", "aberrantly-conducted-atrial-beats", "blocked-atrial-bigeminy",
}

// hangsOnWhatIsSmall reports whether an entry is told by a P wave, a pacing spike or
// a trace that is small all over: two dots or less at the base scale. trainer/telling
// tests that this is enough for every look-alike pair.
func hangsOnWhatIsSmall(l lesson.Lesson) bool {
	switch l.Family {
	case lesson.Block, lesson.Junctional, lesson.Paced:
		return true
	}
	switch l.ID {
	case "fine-ventricular-fibrillation", "p-wave-asystole", "wandering-atrial-pacemaker", "atrial-tachycardia",
		"aberrantly-conducted-atrial-beats", "low-amplitude", "low-voltage":
		return true
	}
	return false
}

// View draws the screen; it changes nothing that is seen later.
func (m *Model) View() string {
	switch m.phase {
	case failed:
		return m.page([]string{m.title(), "", "This strip cannot be shown: " + m.trouble.Error()})
	case explained:
		return m.page(m.explain.view(m))
	case waiting:
		return m.page(m.waitingView())
	default:
		return m.asking(m.stage.Draw(nil))
	}
}

// Paint is View with the strip as a band while it may move.
func (m *Model) Paint() (page string, bands []glass.Band) {
	if m.phase == failed || m.phase == explained || m.phase == waiting {
		return m.View(), nil
	}
	const titleRows = 1
	rows, bands := m.stage.Paint(titleRows)
	if len(bands) == 0 {
		return m.asking(rows), nil
	}
	if m.words.above == "" || m.words.painted == "" {
		m.words.painted = m.asking(rows)
	}
	return m.words.painted, bands
}

// asking is the page with its question, round the rows of the strip. Its words are
// kept while nothing has happened that could change them (touch): they are most of
// the work of a frame.
func (m *Model) asking(strip []string) string {
	if m.words.above == "" {
		lines := m.page(append(make([]string, 1+len(strip)), m.beneath()...))
		m.words.above = m.title()
		m.words.beneath = strings.SplitN(lines, "\n", 1+len(strip)+1)[1+len(strip)]
	}
	return m.words.above + "\n" + strings.Join(append(strip, m.words.beneath), "\n")
}

// touch lets the words of the page be written anew.
func (m *Model) touch() { m.words.above, m.words.painted = "", "" }

// beneath is what stands under the strip.
func (m *Model) beneath() []string {
	l := m.env.Look
	lines := []string{m.numbers()}
	if m.round.Bedside != nil {
		patient := m.round.Bedside.Patient
		if more := patient + " " + look.PatientFirst; ansi.StringWidth(more) <= m.cols {
			patient = more
		}
		lines = append(lines, l.Body.Render(m.cut(patient)), m.bedside("c", "Patient", ledger.LookChild, m.round.Bedside.Child),
			m.bedside("p", "Pulse", ledger.LookPulse, m.round.Bedside.Pulse),
			m.bedside("e", "Electrodes", ledger.LookElectrodes, m.round.Bedside.Electrodes))
	} else {
		lines = append(lines, l.Faint.Render(m.cut("A recording: the patient is not here to be looked at.")), "", "", "")
	}
	return append(lines, m.question()...)
}

// page fills the lines to the window with the hint line last.
func (m *Model) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

// title is the first line: what this is, and what must be known.
func (m *Model) title() string {
	l := m.env.Look
	left := m.round.Title
	if left == "" {
		left = "Practice"
	}
	if m.stage != nil {
		left += "   " + m.stage.Header()
	}
	right := fmt.Sprintf("strip %d", m.count)
	if m.timed() {
		right = m.timeLeft()
	}
	if m.env.Notice != "" {
		right = m.env.Notice
	}
	if m.stage != nil && m.stage.Held() && m.phase != explained {
		right = "held   " + right
	}
	room := m.cols - ansi.StringWidth(left) - 1
	right = ansi.Truncate(right, max(room, 0), "…")
	gap := max(m.cols-ansi.StringWidth(left)-ansi.StringWidth(right), 1)
	return l.Title.Render(left) + strings.Repeat(" ", gap) + l.Faint.Render(right)
}

// numbers is one plain sentence: what the traces count, and the other vital signs.
func (m *Model) numbers() string {
	if measured := m.calipers.Words(); measured != "" {
		return m.env.Look.Body.Render(m.cut(measured)) // in their place while they are out
	}
	r := m.stage.Rates()
	s := fmt.Sprintf("Rate %s (%s)", rateWord(r.Heart, r.HeartOK), m.stage.Lead())
	if m.phase == reading && m.step() == ledger.Rate {
		s = "Rate: yours to count"
	} else if m.stage.HasPulse() {
		s += ", pulse " + rateWord(r.Pulse, r.PulseOK)
	}
	if m.round.Bedside != nil {
		s += ", " + m.round.sentence(m.round.Bedside.Numbers, m.cuff.words(m.stage.Edge()-m.round.Start))
	} else {
		s += "."
	}
	return m.env.Look.Body.Render(m.cut(s))
}

// bedside is one line of what looking shows, hidden until the learner looks.
func (m *Model) bedside(press, name, what, finding string) string {
	l := m.env.Look
	head := fmt.Sprintf("%-11s", name)
	switch seen, looking := m.seen(what); {
	case seen:
		return l.Body.Render(m.cut(head + finding))
	case looking:
		return l.Body.Render(head) + l.Faint.Render("looking ...")
	default:
		return l.Body.Render(head) + l.Key.Render(press) + l.Faint.Render(" to look")
	}
}

// question is the question and its answers.
func (m *Model) question() []string {
	l := m.env.Look
	var head string
	switch m.phase {
	case unsaved:
		return []string{
			l.Miss.Render("Your answer is not kept yet."),
			l.Body.Render(m.cut(m.trouble.Error())),
			l.Body.Render(m.cut("Press r to try again. Leaving now loses this one answer.")),
		}
	case saving:
		head = "Keeping your answer ..."
	case reading:
		head = steps.Ask(m.step())
	case acting:
		head = "What do you do first?"
	default:
		head = "What does it show?"
	}
	lines := append(m.lastStep(), l.Title.Render(head))
	if m.phase == naming {
		how := "I am sure."
		if m.unsure {
			how = "I am not sure."
		}
		lines[len(lines)-1] += "   " + l.Body.Render(how) + " " + l.Key.Render("u") + l.Faint.Render(" changes that")
		if m.small() {
			lines[len(lines)-1] += l.Faint.Render("   ") + l.Key.Render("z") + l.Faint.Render(" larger: small waves tell")
		}
	}
	if m.phase == saving {
		return lines
	}
	if m.writing || m.phase == reading && m.step() == ledger.Rate {
		return append(lines, m.typedLines()...)
	}
	for i, c := range m.choices() {
		style := l.Choice
		if i == m.cursor {
			style = l.Chosen
		}
		lines = append(lines, style.Render(m.cut(fmt.Sprintf("%s%s  %s", l.Mark(i == m.cursor), m.keys.choose.Keys()[i], c))))
	}
	return lines
}

// cut shortens a line to the window.
func (m *Model) cut(s string) string { return ansi.Truncate(s, m.cols, "…") }
