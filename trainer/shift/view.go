package shift

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/guptarohit/asciigraph"

	"telltrace/scenarios/watch"
	marking "telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// Rows beside the strip and the lines of the beds: title, patient, finding, what is said,
// four of a question, two of acts, keys.
const fixedRows = 11

// trendRows is the height of the trend where there is room for it.
const trendRows = 5

func (m *Model) layout() {
	if m.cols == 0 {
		return
	}
	if m.stage != nil {
		room := m.rows - fixedRows - m.beds
		if m.trendFits() {
			room -= trendRows + 1
		}
		under := max(2, min(4, room/5))
		strip := min(room-under, 20)
		strip -= strip % 2
		m.stage.Resize(m.cols, strip, under)
	}
	if m.phase == told {
		m.write()
	}
}

func (m *Model) trendFits() bool { return m.rows >= 36 && !m.env.Look.Plain }

func (m *Model) room() int { return max(m.rows-2, 1) }

// View draws the screen.
func (m *Model) View() string {
	switch m.phase {
	case choosing:
		return m.page(m.choice())
	case failed:
		return m.page([]string{m.env.Look.Title.Render("A watch"), "", "This watch cannot be shown: " + m.broken.Error()})
	case told:
		return m.page(append([]string{m.head("A watch: what it came to", "training only")}, m.lines[m.from:min(m.from+m.room(), len(m.lines))]...))
	}
	return m.page(append(append([]string{m.title()}, m.stage.Draw(nil)...), m.beneath()...))
}

// Paint is View with the strip as a band while it may move.
func (m *Model) Paint() (string, []glass.Band) {
	if m.phase != watching {
		return m.View(), nil
	}
	rows, bands := m.stage.Paint(1)
	return m.page(append(append([]string{m.title()}, rows...), m.beneath()...)), bands
}

func (m *Model) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

func (m *Model) cut(s string) string { return ansi.Truncate(s, m.cols, "…") }

func (m *Model) head(left, right string) string {
	l := m.env.Look
	if m.trouble != nil {
		right = "answers are not kept yet: r tries again"
	}
	left = ansi.Truncate(left, max(m.cols-ansi.StringWidth(right)-1, 10), "…")
	gap := max(m.cols-ansi.StringWidth(left)-ansi.StringWidth(right), 1)
	return l.Title.Render(left) + strings.Repeat(" ", gap) + l.Faint.Render(right)
}

// choice is the page on which the number of beds is chosen.
func (m *Model) choice() []string {
	l := m.env.Look
	lines := []string{l.Title.Render("A watch"), ""}
	say := func(style look.Style, s string) {
		for _, line := range sheet.Wrap(s, m.cols) {
			lines = append(lines, style.Render(line))
		}
	}
	for n := 1; n <= 4; n++ {
		style := l.Choice
		if n == m.beds {
			style = l.Chosen
		}
		beds := fmt.Sprintf("%d beds", n)
		if n == 1 {
			beds = "1 bed "
		}
		lines = append(lines, style.Render(fmt.Sprintf("%s%s   twelve hours in %d minutes", l.Mark(n == m.beds), beds, int(takes[n-1]/time.Minute))))
	}
	lines = append(lines, "")
	say(l.Body, "Set the limits of every bed for its patient in the first hour; chart the vital signs of every bed each hour. Look at the patient when an alarm sounds: most ask for nothing. Something turns for the worse at each bed, and some rhythms change without an alarm. Everything you do takes its time; help and compressions come before all else.")
	lines = append(lines, "")
	say(l.Caution, look.Caution)
	return lines
}

func (m *Model) title() string {
	w := m.seen()
	left := fmt.Sprintf("Bed %d   %s", m.bed+1, m.stage.Header())
	right := fmt.Sprintf("%s   %s to go", watch.Clock(w.Minute()), hours(watch.Minutes-w.Minute()))
	if m.phase == seeing {
		right = "seen again: " + watch.Clock(w.Minute())
	} else if m.env.Notice != "" {
		right = m.env.Notice + "   " + watch.Clock(w.Minute())
	}
	if m.phase == watching && m.hold.Held() {
		right = "held   " + right
	}
	return m.head(left, right)
}

func hours(minutes int) string { return fmt.Sprintf("%d h %02d", minutes/60, minutes%60) }

// beneath is what stands under the strip.
func (m *Model) beneath() []string {
	l, w := m.env.Look, m.seen()
	var lines []string
	if m.trendFits() {
		lines = append(lines, m.trend()...)
	}
	for bed := range w.Plan().Beds {
		lines = append(lines, m.line(bed))
	}
	first := w.Plan().Beds[m.bed].Sentence
	if measured := m.hold.Words(); measured != "" {
		first = measured // in its place while the calipers are out
	}
	lines = append(lines, l.Body.Render(m.cut(first)))
	if w.Looked(m.bed) {
		lines = append(lines, l.Body.Render(m.cut("Patient    "+w.Finding(m.bed))))
	} else {
		lines = append(lines, l.Body.Render("Patient    ")+l.Key.Render("c")+l.Faint.Render(" to look"))
	}
	said := m.said
	if m.setting.on {
		said = m.typing()
	} else if until, bed, busy := w.Busy(); busy && (said == "" || m.phase == seeing) {
		said = fmt.Sprintf("Busy at bed %d until %s.", bed+1, watch.Clock(until))
	}
	lines = append(lines, l.Body.Render(m.cut(said)))
	if i := w.Asks(); i >= 0 {
		e := w.Runs()[i].Event
		q := watch.Questions[e.Question]
		lines = append(lines, l.Title.Render(m.cut(fmt.Sprintf("At bed %d somebody asks: %s", e.Bed+1, q.Ask))))
		for row := range q.Answers {
			lines = append(lines, l.Choice.Render(m.cut(fmt.Sprintf("  %d  %s", row+7, q.Answers[order(w.Plan().Seed, row)]))))
		}
	} else {
		lines = append(lines, "", "", "", "")
	}
	return append(lines, m.offers()...)
}

// line is a bed in one line: numbers, when it was charted, and its alarm.
func (m *Model) line(bed int) string {
	l, w := m.env.Look, m.seen()
	s := w.Signs(bed)
	charted := "not charted"
	if c := w.Charted(bed); c >= 0 {
		charted = "charted " + watch.Clock(c)
	}
	if r, set := w.Limits(bed); set {
		charted += fmt.Sprintf(", %d-%d", r.Low, r.High)
	} else {
		charted += ", no limits"
	}
	words := fmt.Sprintf("%s%d %-4s rate %-4s pulse %-4s SpO2 %-4s %3d/%-3d br %-3d %s", l.Mark(bed == m.bed), bed+1, w.Plan().Beds[bed].Age,
		none(s.Heart), none(s.Pulse), none(s.SpO2), s.Systolic, s.Diastolic, s.Breaths, charted)
	style := l.Choice
	if bed == m.bed {
		style = l.Chosen
	}
	if a := w.Alarm(bed); a != "" {
		alarm := " " + look.MissMark + " " + strings.ReplaceAll(string(a), "-", " ")
		return style.Render(ansi.Truncate(words, max(m.cols-ansi.StringWidth(alarm), 0), "…")) + l.Miss.Render(alarm)
	}
	return style.Render(m.cut(words))
}

func none(x int) string {
	if x == 0 {
		return "none"
	}
	return fmt.Sprint(x)
}

// trend is the heart rate of the bed in front over the last two hours.
func (m *Model) trend() []string {
	l := m.env.Look
	rates := m.seen().Trend(m.bed, 120)
	graph := asciigraph.Plot(rates, asciigraph.Height(trendRows-1), asciigraph.Width(min(m.cols-14, 120)), asciigraph.Precision(0))
	lines := []string{l.Faint.Render("Rate over two hours, each minute")}
	for i, line := range strings.Split(graph, "\n") {
		if i < trendRows {
			lines = append(lines, l.Faint.Render(m.cut(line)))
		}
	}
	for len(lines) < trendRows+1 {
		lines = append(lines, "")
	}
	return lines
}

// offers lists what can be done, in two rows.
func (m *Model) offers() []string {
	l := m.env.Look
	if m.phase == seeing {
		return []string{l.Body.Render(m.cut(m.deeds())), ""}
	}
	const columns = 5
	width := m.cols / columns
	var lines []string
	for from := 0; from < len(acts); from += columns {
		row := ""
		for _, a := range acts[from:min(from+columns, len(acts))] {
			words := ansi.Truncate(a.key+" "+a.says, width-1, "…")
			row += words + strings.Repeat(" ", max(width-ansi.StringWidth(words), 0))
		}
		lines = append(lines, l.Choice.Render(strings.TrimRight(row, " ")))
	}
	return lines
}

// deeds says what was done around the minute that is seen again.
func (m *Model) deeds() string {
	var words []string
	for _, d := range m.watch.Deeds() {
		if d.Minute == m.minute {
			words = append(words, fmt.Sprintf("bed %d: %s", d.Bed+1, strings.ReplaceAll(string(d.Act), "-", " ")))
		}
	}
	if len(words) == 0 {
		return "Nothing was done in this minute."
	}
	return "You, at " + strings.Join(words, "; ") + "."
}

// limitsSay says how the limits of a bed lay.
func (m *Model) limitsSay(bed int) string {
	usual := m.watch.Usual(bed)
	p := watch.Practice(usual)
	r, set := m.watch.Limits(bed)
	words := fmt.Sprintf("Bed %d, usually about %.0f a minute: ", bed+1, usual)
	switch {
	case !set:
		words += "nobody set limits"
	case r.Fits(usual):
		words += fmt.Sprintf("%d to %d fit", r.Low, r.High)
	default:
		words += fmt.Sprintf("%d to %d do not fit", r.Low, r.High)
	}
	return words + fmt.Sprintf("; common practice is about %d to %d, then judgement.", p.Low, p.High)
}

// enough real alarms to speak of how well they are told from the others.
const enough = 3

// write makes the lines of what the watch came to.
func (m *Model) write() {
	l, x := m.env.Look, m.mark
	var out []string
	say := func(style look.Style, s string) {
		for _, line := range sheet.Wrap(s, m.cols) {
			out = append(out, style.Render(line))
		}
	}
	say(l.Body, fmt.Sprintf("Turns for the worse: %s were helped. New rhythms without an alarm: %s were told.%s", x.Turns, x.Quiet, delay(x.Delays)))
	told := fmt.Sprintf("Of %d alarms %d asked for help; you called for %d of these, and for %d of the others.",
		x.Detection.Signal.N+x.Detection.Noise.N, x.Detection.Signal.N, x.Detection.Signal.K, x.Detection.Noise.K)
	if x.Detection.Signal.N >= enough {
		told += fmt.Sprintf(" That is a d' of %.1f and a criterion of %.1f (below 0 leans to calling).", x.Detection.DPrime(), x.Detection.C())
	}
	say(l.Body, told)
	say(l.Body, fmt.Sprintf("Help called where nothing asked for it: %d times. The patient before anything else: at %s alarms that were answered.", x.FalseCalls, x.PatientFirst))
	say(l.Body, fmt.Sprintf("Limits set within the first hour: at %s beds. Vital signs charted: %s hours. 12-lead of a new rhythm: %s.", x.Limits, x.Charted, x.TwelveLead))
	for bed := range m.watch.Plan().Beds {
		say(l.Body, m.limitsSay(bed))
	}
	out = append(out, "")
	for _, r := range x.Runs {
		style, word := l.Right, "right"
		switch r.Verdict {
		case ledger.Near:
			style, word = l.Wrong, "near"
		case ledger.Wrong:
			style, word = l.Wrong, "not this"
		case ledger.Critical:
			style, word = l.Miss, look.MissMark+" unsafe"
		}
		head := fmt.Sprintf("%s bed %d %-9s", watch.Clock(r.Run.Event.From), r.Run.Event.Bed+1, word)
		for i, line := range sheet.Wrap(what(r)+" "+r.Note, m.cols-len(head)-1) {
			if i > 0 {
				head = strings.Repeat(" ", len(head))
			}
			out = append(out, style.Render(head+" "+line))
		}
	}
	out = append(out, "")
	say(l.Caution, look.Caution)
	m.lines = out
	m.from = max(0, min(m.from, len(out)-m.room()))
}

// what names an event.
func what(r marking.RunMark) string {
	e := r.Run.Event
	switch e.Kind {
	case watch.Passing:
		if e.Limit {
			return "A usual rate outside limits that do not fit this patient."
		}
		return "Crying, and a rate over the limit."
	case watch.Parent:
		return "A question."
	}
	s := e.Stages[0]
	id := s.Rhythm
	if s.Artifact != "" {
		id = s.Artifact
	}
	taught, _ := synth.Lesson(id)
	return strings.ToUpper(taught.Name[:1]) + taught.Name[1:] + "."
}

// delay says the middle of the delays.
func delay(minutes []int) string {
	if len(minutes) == 0 {
		return ""
	}
	sorted := slices.Sorted(slices.Values(minutes))
	n := len(sorted)
	middle := float64(sorted[(n-1)/2]+sorted[n/2]) / 2
	return fmt.Sprintf(" It took %.0f minutes in the middle, %d at most.", math.Round(middle), sorted[n-1])
}
