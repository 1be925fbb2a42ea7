package bedside

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/trainer/hold"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// A bed is a patient with a running strip and what can be seen of them. The screens of
// this package are built round one.
type bed struct {
	env        *screen.Env
	cols, rows int
	now        time.Time
	script     *script.Scenario
	play       *play.Play
	feed       *play.Feed
	stage      *stage.Stage
	hold       *hold.Tool
	began      time.Time
}

// newBed is an empty bed.
func newBed(env *screen.Env) bed { return bed{env: env, hold: hold.New(env)} }

// lie puts a scenario into the bed, on a seed. Calipers are to be put away before.
func (b *bed) lie(s *script.Scenario, seed uint64) (err error) {
	b.now = b.env.Now()
	b.began, b.script = b.now, s
	if b.play, err = play.New(s, seed); err != nil {
		return err
	}
	if b.feed, err = b.play.Feed(); err != nil {
		return err
	}
	b.stage = stage.New(b.env.Look, b.feed, play.Opening)
	b.hold.On(b.stage, s.Patient.Age.Exact())
	if !b.env.Still {
		b.stage.Run(b.now)
	}
	b.stage.Advance(b.now)
	return nil
}

// resume goes on after a time in which the bed was not seen: none has passed here.
func (b *bed) resume() {
	gap := b.env.Now().Sub(b.now)
	b.began = b.began.Add(gap)
	b.now = b.now.Add(gap)
	if b.stage != nil {
		b.stage.Skip(gap)
	}
}

// turn turns the still page, to where the clock is where it has fallen behind.
func (b *bed) turn() {
	b.stage.Turn()
	for now := play.Opening + b.play.Now(); b.stage.Edge() < now && !b.stage.Ended() && b.stage.Err() == nil; {
		before := b.stage.Edge()
		if b.stage.Turn(); b.stage.Edge() <= before {
			return
		}
	}
}

// layout shares the window out between the strip, its pulse and so many other rows.
func (b *bed) layout(others int) {
	const best = 20 // rows of a strip: 4 mV at the base scale
	room := b.rows - others
	under := max(2, min(4, room/5))
	strip := min(room-under, best)
	strip -= strip % 2 // the middle line lies on a box line
	b.stage.Resize(b.cols, strip, under)
}

// head is the first line of a page.
func (b *bed) head(left, right string) string {
	l := b.env.Look
	if b.hold.Held() {
		right = "held   " + right
	}
	left = ansi.Truncate(left, max(b.cols-ansi.StringWidth(right)-1, 10), "…")
	gap := max(b.cols-ansi.StringWidth(left)-ansi.StringWidth(right), 1)
	return l.Title.Render(left) + strings.Repeat(" ", gap) + l.Faint.Render(ansi.Truncate(right, max(b.cols-ansi.StringWidth(left)-1, 0), "…"))
}

// seen is what stands under the strip of the patient: numbers, who it is, what happens,
// and what looking has shown.
func (b *bed) seen() []string {
	l := b.env.Look
	patient := b.script.Patient.Sentence
	if more := fmt.Sprintf("%s %g kg. %s", patient, b.script.Patient.Weight, look.PatientFirst); ansi.StringWidth(more) <= b.cols {
		patient = more
	}
	numbers := b.numbers()
	if measured := b.hold.Words(); measured != "" {
		numbers = measured // in their place while the calipers are out
	}
	lines := []string{l.Body.Render(b.cut(numbers)), l.Body.Render(b.cut(patient)), b.happens()}
	for _, x := range looks {
		if x.look == script.LookLine && !b.script.Arterial {
			continue
		}
		lines = append(lines, b.finding(x.key, x.name, x.look))
	}
	return lines
}

// lookAt looks at what a letter stands for.
func (b *bed) lookAt(letter string) {
	for _, x := range looks {
		if x.key == letter {
			b.play.Look(x.look)
		}
	}
}

// elapsed is the time since the scenario began, s.
func (b *bed) elapsed() float64 { return b.now.Sub(b.began).Seconds() }

// alarming reports whether an alarm sounds now: since the episode began, or until it was
// silenced or seen to.
func (b *bed) alarming() (script.Alarm, bool) {
	e, _ := b.play.Episode()
	if e.Alarm == "" || b.play.Over() {
		return "", false
	}
	for _, x := range slices.Backward(b.play.Events()) {
		if x.Kind == play.Begins {
			break
		}
		if x.Kind == play.Does && x.Act == "silence" {
			return e.Alarm, false
		}
	}
	return e.Alarm, true
}

// clock is the time since the beginning as people say it.
func clock(s float64) string {
	at := int(math.Round(s))
	return time.Date(0, 1, 1, 0, at/60, at%60, 0, time.UTC).Format("4:05")
}

// numbers is one plain sentence: what the traces count, and the other vital signs.
func (b *bed) numbers() string {
	r, n := b.stage.Rates(), b.play.Bedside().Numbers
	spo2 := "SpO2 not found"
	if fallen, found := b.feed.Oxygen(); found && n.SpO2 > 0 {
		spo2 = fmt.Sprintf("SpO2 %d %%", n.SpO2-int(math.Round(fallen)))
	}
	ago := n.CuffAgo + int(b.play.Now()/60)
	return fmt.Sprintf("Rate %s (%s), pulse %s, %s, cuff %d/%d %d min ago, breaths %d.", rate(r.Heart, r.HeartOK), b.stage.Lead(),
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
func (b *bed) happens() string {
	l := b.env.Look
	e, _ := b.play.Episode()
	if e.Ends() {
		return l.Title.Render(b.cut(e.Outcome))
	}
	words := e.Tells
	alarm, sounds := b.alarming()
	switch {
	case sounds:
		return l.Miss.Render(look.MissMark+" Alarm: "+alarmSays(alarm)+".") + " " + l.Body.Render(ansi.Truncate(words, max(b.cols-30, 0), "…"))
	case alarm != "":
		words = "The alarm is silenced. " + words
	}
	return l.Body.Render(b.cut(words))
}

// finding is one line of what looking shows, hidden until the learner looks.
func (b *bed) finding(press, name string, what script.Look) string {
	l := b.env.Look
	head := fmt.Sprintf("%-11s", name)
	looking, since := b.play.Looking()
	switch {
	case b.play.Seen(what), b.play.Over():
		return l.Body.Render(b.cut(head + b.play.Finding(what)))
	case looking == what && what == script.LookPulse:
		return l.Body.Render(head) + l.Faint.Render(fmt.Sprintf("feeling ... %.0f s, ten at most", math.Floor(since)))
	case looking == what:
		return l.Body.Render(head) + l.Faint.Render("looking ...")
	default:
		return l.Body.Render(head) + l.Key.Render(press) + l.Faint.Render(" to look")
	}
}

func (b *bed) cut(s string) string { return ansi.Truncate(s, b.cols, "…") }
