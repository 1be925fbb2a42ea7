// Package standing writes the sheet on which a learner sees where they stand: how sure it
// is that a check would be passed, what to look at today and why, what is confused, each
// family, the days. The figures come from scoring/progress.
package standing

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"github.com/guptarohit/asciigraph"

	"telltrace/scoring/ledger"
	"telltrace/scoring/progress"
	"telltrace/scoring/readiness"
	"telltrace/scoring/spacing"
	"telltrace/scoring/stats"
	"telltrace/synth"
	"telltrace/synth/lesson"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// New opens the sheet.
func New(env *screen.Env, doors ...sheet.Door) *sheet.Model {
	return sheet.New(env, sheet.Text{Title: "Where you stand", Doors: doors, Write: func(answers []ledger.Answer, cols int) []string {
		return Write(env, answers, cols)
	}, Early: func(sums []ledger.Sum, cols int) []string {
		w := &writer{env: env, cols: cols}
		w.families(progress.ByFamily(sums, synth.Lessons()))
		return w.lines
	}})
}

// Write writes the lines for answers, oldest first.
func Write(env *screen.Env, answers []ledger.Answer, cols int) []string {
	w := &writer{env: env, cols: cols, p: progress.New(synth.Lessons(), env.Location), learner: spacing.NewLearner(practise.Course())}
	for _, a := range answers {
		w.p.Add(a)
		w.learner.Add(a)
	}
	if len(w.p.Days) == 0 {
		w.say("Nothing answered yet. Twenty minutes a day are enough: about sixty strips.")
		return w.lines
	}
	w.forecast(readiness.Decide(env.Rules, answers, synth.Lessons(), env.Now(), env.Location))
	w.today()
	w.confused()
	w.detection()
	w.families(w.p.Families)
	w.days()
	w.forgetting()
	return w.lines
}

type writer struct {
	env     *screen.Env
	cols    int
	p       *progress.Progress
	learner *spacing.Learner
	lines   []string
}

func (w *writer) say(text string) { w.lines = append(w.lines, sheet.Wrap(text, w.cols)...) }

func (w *writer) head(title string) {
	w.lines = append(w.lines, "", w.env.Look.Title.Render(title))
}

// forecast says how likely a check would be passed, and where the checks stand.
func (w *writer) forecast(d readiness.Decision) {
	rules := w.env.Rules
	switch d.Status {
	case readiness.Ready:
		w.say(fmt.Sprintf("Ready since %s, by check strips. To be checked again by %s.", date(d.Since.In(w.env.Location)), date(d.Due.In(w.env.Location))))
	case readiness.Lapsed:
		w.say("You were ready; it is time to be checked again.")
	default:
		w.say("Not called ready yet. That is decided by check strips alone, never by practice.")
	}
	chance, low, high, ok := w.p.Forecast(rules)
	switch {
	case !ok:
		w.say("How likely a check would be passed cannot be said yet: too few strips of an arrest.")
	default:
		w.say(fmt.Sprintf("Going by your last %d strips of an arrest, a check now would recognise enough of them with a chance of %s (between %s and %s).",
			len(w.p.Recent), percent(chance), percent(low), percent(high)))
	}
	if d.Status == readiness.NotYet {
		if w.learner.Worth() {
			w.say("A check is worth taking.")
		} else {
			w.say("Practise some more before a check: some arrests have not yet been told often enough from what they are taken for.")
		}
	}
}

// due is an entry with how little of it is left.
type due struct {
	id    string
	known float64
	why   string
}

// today lists what to look at again, and plans of ten and twenty minutes.
func (w *writer) today() {
	now := w.env.Now()
	var list []due
	for _, id := range w.learner.Met() {
		m, _ := w.learner.Memory(id)
		topic, _ := practise.Course().Topic(id)
		switch known := m.Known(now); {
		case m.Shown == 0:
		case m.Return:
			list = append(list, due{id, -1, "answered wrongly and surely"})
		case topic.Kind == spacing.Arrest && known < 0.85:
			list = append(list, due{id, known - 0.3, "must not be missed, and is fading"})
		case m.Recall(now) < 0.6:
			why := "not firm yet"
			if gap := now.Sub(m.Last); gap >= 24*time.Hour {
				why = "last seen " + ago(gap)
			}
			list = append(list, due{id, known, why})
		case known < 0.6:
			list = append(list, due{id, known, "often taken for something else"})
		}
	}
	slices.SortStableFunc(list, func(a, b due) int {
		switch {
		case a.known < b.known:
			return -1
		case a.known > b.known:
			return 1
		}
		return 0
	})
	w.head("To look at again today")
	if len(list) == 0 {
		w.say("Nothing is pressing.")
	}
	for _, d := range list[:min(len(list), 6)] {
		w.lines = append(w.lines, fmt.Sprintf("  %-44s %s", name(d.id), w.env.Look.Faint.Render(d.why)))
	}
	w.lines = append(w.lines, "")
	w.plan("Ten minutes", 30, list)
	w.plan("Twenty minutes", 60, list)
}

// plan says what a sitting of so many strips would be about, as practice would choose them
// if each were named right.
func (w *writer) plan(sitting string, strips int, list []due) {
	again, alarms, calm := 0, 0, 0
	fresh := map[string]bool{}
	for _, s := range w.learner.Ahead(strips, w.env.Now(), rand.New(rand.NewPCG(uint64(strips), 0))) {
		if slices.ContainsFunc(list, func(d due) bool { return d.id == s.Subject }) {
			again++
		}
		if s.New {
			fresh[s.Subject] = true
		}
		switch topic, _ := practise.Course().Topic(s.Subject); topic.Kind {
		case spacing.Urgent, spacing.Arrest:
			alarms++
		case spacing.Calm:
			calm++
		}
	}
	var parts []string
	if len(list) > 0 {
		parts = append(parts, fmt.Sprintf("%d on what is to be looked at again", again))
	}
	parts = append(parts, fmt.Sprintf("%d urgent or an arrest", alarms), fmt.Sprintf("%d with nothing to do", calm))
	if len(fresh) > 0 {
		parts = append(parts, fmt.Sprintf("%d entries that are new to you", len(fresh)))
	}
	w.say(fmt.Sprintf("%s: about %d strips, of them %s.", sitting, strips, strings.Join(parts, ", ")))
}

// confused lists the pairs taken for one another.
func (w *writer) confused() {
	pairs := w.p.Confused()
	if len(pairs) == 0 {
		return
	}
	w.head("Taken for one another")
	for _, c := range pairs[:min(len(pairs), 5)] {
		w.say(fmt.Sprintf("  %s taken for %s: %s.", name(c.Shown), lower(name(c.Chosen)), c.Of))
		shown, _ := synth.Lesson(c.Shown)
		if a, ok := shown.LookAlike(c.Chosen); ok {
			for _, line := range sheet.Wrap(a.Difference, w.cols-4) {
				w.lines = append(w.lines, "    "+w.env.Look.Faint.Render(line))
			}
		}
	}
}

// detection says how arrests, and what needs nothing, are told.
func (w *writer) detection() {
	w.head("Arrest or not")
	line := func(question string, d stats.Detection, hit, falseAlarm string) {
		if d.Signal.N == 0 || d.Noise.N == 0 {
			return
		}
		lean := "called rather too often, which is the safe side"
		if d.C() > 0 {
			lean = "called rather too seldom: in doubt, look at the patient and call"
		}
		w.say(fmt.Sprintf("  %s %s %s; %s %s. d' %.1f, c %+.2f: %s.", question, hit, d.Signal, falseAlarm, d.Noise, d.DPrime(), d.C(), lean))
	}
	line("Is this an arrest?", w.p.Arrest, "recognised", "called one without need")
	line("Does this need anything?", w.p.Needs, "seen", "called without need")
}

// families lists what is recognised by family, with the 95 % interval.
func (w *writer) families(of map[lesson.Family]stats.Count) {
	w.head("By family")
	for _, f := range []lesson.Family{lesson.Sinus, lesson.Atrial, lesson.Junctional, lesson.Block, lesson.Ventricular, lesson.Arrest,
		lesson.Paced, lesson.Shape, lesson.Artifact} {
		c := of[f]
		if c.N == 0 {
			w.lines = append(w.lines, fmt.Sprintf("  %-12s %s", f, w.env.Look.Faint.Render("not met yet")))
			continue
		}
		low, high := c.Wilson(stats.Z95)
		w.lines = append(w.lines, fmt.Sprintf("  %-12s %5s   %s   %s", f, percent(c.Share()), bar(c.Share()),
			w.env.Look.Faint.Render(fmt.Sprintf("%s; between %s and %s", c, percent(low), percent(high)))))
	}
}

// bar draws a share in twenty steps.
func bar(share float64) string {
	n := int(20*share + 0.5)
	return strings.Repeat("#", n) + strings.Repeat(".", 20-n)
}

// days draws the learning curve and the answer times.
func (w *writer) days() {
	if len(w.p.Days) < 2 {
		return
	}
	var right, took []float64
	for _, d := range w.p.Days {
		right = append(right, 100*d.Named.Share())
		if m := d.Took.Median(); m > 0 {
			took = append(took, m.Seconds())
		}
	}
	width := min(w.cols-12, 70)
	w.head(fmt.Sprintf("Right answers in %%, %s to %s", date(w.p.Days[0].Date), date(w.p.Days[len(w.p.Days)-1].Date)))
	w.graph(right, width, asciigraph.LowerBound(0), asciigraph.UpperBound(100))
	if len(took) > 1 {
		w.head("Median time of right answers, s")
		w.graph(took, width, asciigraph.LowerBound(0))
	}
}

func (w *writer) graph(values []float64, width int, options ...asciigraph.Option) {
	options = append(options, asciigraph.Height(6), asciigraph.Precision(0))
	if len(values) > width {
		options = append(options, asciigraph.Width(width))
	}
	w.lines = append(w.lines, strings.Split(asciigraph.Plot(values, options...), "\n")...)
}

// forgetting says how much is kept between days.
func (w *writer) forgetting() {
	var parts []string
	for class, c := range w.p.Forgetting {
		if c.N > 0 {
			parts = append(parts, fmt.Sprintf("%s after %s", c, progress.GapWords(class)))
		}
	}
	if len(parts) == 0 {
		return
	}
	w.head("Right when seen again")
	w.say("  " + strings.Join(parts, "; ") + ".")
}

func name(id string) string {
	l, ok := synth.Lesson(id)
	if !ok {
		return id
	}
	return strings.ToUpper(l.Name[:1]) + l.Name[1:]
}

func lower(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// percent writes a share; what is nearly none or nearly all is not written as none or all.
func percent(share float64) string {
	switch {
	case share > 0 && share < 0.005:
		return "under 1 %"
	case share < 1 && share >= 0.995:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func date(t time.Time) string { return t.Format("2 Jan 2006") }

// ago is how long ago, a day or more, in words.
func ago(d time.Duration) string {
	if days := int(d.Hours() / 24); days > 1 {
		return fmt.Sprintf("%d days ago", days)
	}
	return "a day ago"
}
