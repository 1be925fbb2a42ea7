package trainer

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"

	"telltrace/scenarios"
	"telltrace/scenarios/library"
	"telltrace/scenarios/script"
	scoredrill "telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/trainer/bedside"
	"telltrace/trainer/calling"
	"telltrace/trainer/charting"
	"telltrace/trainer/check"
	"telltrace/trainer/class"
	"telltrace/trainer/drill"
	"telltrace/trainer/ectopics"
	"telltrace/trainer/electrodes"
	"telltrace/trainer/firstlesson"
	"telltrace/trainer/limits"
	"telltrace/trainer/measuring"
	"telltrace/trainer/missed"
	"telltrace/trainer/notice"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/settings"
	"telltrace/trainer/sheet"
	"telltrace/trainer/shift"
	"telltrace/trainer/standing"
	"telltrace/trainer/start"
)

// A Route is a screen by its name.
type Route struct {
	Name string
	Open func(*screen.Env) screen.Screen
}

// Routes lists every screen, as it opens without any recording. The tests hold each
// of them to the contract of all screens.
func Routes() []Route {
	return []Route{
		{"first-start", func(env *screen.Env) screen.Screen {
			return FirstStart(env, func(settings.Settings) error { return nil }, nil)
		}},
		{"start", func(env *screen.Env) screen.Screen { return Start(env, nil) }},
		{"practise", func(env *screen.Env) screen.Screen { return Practise(env, scenarios.Wish{}) }},
		{"missed", func(env *screen.Env) screen.Screen { return Missed(env, nil) }},
		{"first-lesson", FirstLesson},
		{"standing", func(env *screen.Env) screen.Screen { return Standing(env) }},
		{"check", Check},
		{"drills", Drills},
		{"drill", func(env *screen.Env) screen.Screen {
			drills, _ := scoredrill.Library()
			return Drill(env, drills[0])
		}},
		{"class", func(env *screen.Env) screen.Screen { return Class(env) }},
		{"exercises", Exercises},
		{"calipers", Calipers},
		{"scenarios", Scenarios},
		{"scenario", func(env *screen.Env) screen.Screen { return Scenario(env, library.All()[0]) }},
		{"alarms", Alarms},
		{"ectopics", Ectopics},
		{"electrodes", Electrodes},
		{"limits", Limits},
		{"watch", Watch},
		{"call", Call},
		{"chart", Chart},
		{"settings", Settings},
		{"help", Help},
		{"notice", func(env *screen.Env) screen.Screen {
			return notice.New(env, "Your answers cannot be kept.", "go on", func() screen.Screen { return Start(env, nil) })
		}},
	}
}

// FirstStart is the page of the very first start, then Start. save keeps what was
// chosen on it.
func FirstStart(env *screen.Env, save func(settings.Settings) error, recording missed.Recording) screen.Screen {
	return start.NewFirst(env, save, func() screen.Screen { return Start(env, recording) })
}

// Start is the first screen, with the doors to the others. recording plays missed
// strips that come from recordings; it may be nil.
func Start(env *screen.Env, recording missed.Recording) screen.Screen {
	return start.New(env, []start.Door{
		{Key: "p", Name: "Practise", Line: "a strip, two questions, and why",
			Open: func() screen.Screen { return Practise(env, scenarios.Wish{}) }},
		{Key: "m", Name: "Missed answers", Line: "the strips to look at again",
			Open:      func() screen.Screen { return Missed(env, recording) },
			Count:     func(ctx context.Context) (int, error) { return missed.Count(ctx, env) },
			CountLine: waiting},
		{Key: "f", Name: "First lesson", Line: "for who has never read a strip: ten minutes",
			Open: func() screen.Screen { return FirstLesson(env) }},
		{Key: "w", Name: "Where you stand", Line: "what is known, what is confused, what to do today",
			Open: func() screen.Screen { return Standing(env) }},
		{Key: "c", Name: "Check", Line: "a silent block: here it is decided who is ready",
			Open: func() screen.Screen { return Check(env) }},
		{Key: "d", Name: "Drills", Line: "so many strips in so much time; passed or not",
			Open: func() screen.Screen { return Drills(env) }},
		{Key: "e", Name: "Exercises", Line: "what there is to do beside naming a strip",
			Open: func() screen.Screen { return Exercises(env) }},
		{Key: "s", Name: "Settings", Line: "colours, how the strip is drawn, time to answer",
			Open: func() screen.Screen { return Settings(env) }},
		{Key: "h", Name: "Help", Line: "how it goes, and which keys there are",
			Open: func() screen.Screen { return Help(env) }},
		{Key: "x", Name: "Leave", Line: "come back at any time"},
	})
}

// waiting says how many missed answers there are.
func waiting(n int) string {
	switch n {
	case 0:
		return "none to look at again"
	case 1:
		return "one to look at again"
	default:
		return fmt.Sprintf("%d to look at again", n)
	}
}

// Practise is practice without end, each strip new: chosen by what the learner's answers
// say (scoring/spacing), or, where something is wished for, drawn as wished.
func Practise(env *screen.Env, w scenarios.Wish) screen.Screen {
	if len(w.Subjects) > 0 || w.Age != nil {
		return practise.New(env, func() (practise.Round, error) {
			e, err := scenarios.Draw(w, rand.New(rand.NewPCG(env.Seed(), 0)))
			if err != nil {
				return practise.Round{}, err
			}
			return practise.Synthetic("Practice", ledger.Practise, e)
		})
	}
	return practise.New(env, practise.Chosen(env))
}

// Missed is the learner's missed answers.
func Missed(env *screen.Env, recording missed.Recording) screen.Screen {
	return missed.New(env, recording)
}

// FirstLesson is for who has never read a strip; practice follows it.
func FirstLesson(env *screen.Env) screen.Screen {
	return firstlesson.New(env, func() screen.Screen { return Practise(env, scenarios.Wish{}) })
}

// Standing is where the learner stands.
func Standing(env *screen.Env) screen.Screen {
	sitting := func(minutes time.Duration) func() screen.Screen {
		return func() screen.Screen {
			return practise.New(env, practise.For(env, minutes*time.Minute, practise.Chosen(env)))
		}
	}
	return standing.New(env,
		sheet.Door{Key: "1", Help: "ten minutes", Open: sitting(10)},
		sheet.Door{Key: "2", Help: "twenty minutes", Open: sitting(20)},
		sheet.Door{Key: "c", Help: "to the checks", Open: func() screen.Screen { return Check(env) }})
}

// Check is the block of check strips, with its rule and result.
func Check(env *screen.Env) screen.Screen { return check.New(env) }

// Drills is the sheet of the timed drills.
func Drills(env *screen.Env) screen.Screen { return drill.NewList(env) }

// Drill is the sheet of one drill.
func Drill(env *screen.Env, d scoredrill.Drill) screen.Screen { return drill.New(env, d) }

// Class is what an educator watches while a class sits a drill.
func Class(env *screen.Env, drills ...scoredrill.Drill) screen.Screen {
	return class.New(env, drills...)
}

// Exercises has the doors to what there is to do beside naming a strip.
func Exercises(env *screen.Env) screen.Screen {
	return start.NewMenu(env, "Exercises", "Naming a strip is a part of the job.", []start.Door{
		{Key: "l", Name: "Calipers", Line: "measure rate, PR, QRS and QT on ten strips",
			Open: func() screen.Screen { return Calipers(env) }},
		{Key: "b", Name: "At the bedside", Line: "a patient, a strip, and what you do",
			Open: func() screen.Screen { return Scenarios(env) }},
		{Key: "r", Name: "Real or not", Line: "ten alarms: look, and say which are real",
			Open: func() screen.Screen { return Alarms(env) }},
		{Key: "c", Name: "Early beats by count", Line: "a minute of strip: how many, in pairs or runs, and is it told",
			Open: func() screen.Screen { return Ectopics(env) }},
		{Key: "e", Name: "Electrodes", Line: "put them on, and find what is wrong with them",
			Open: func() screen.Screen { return Electrodes(env) }},
		{Key: "a", Name: "Alarm limits", Line: "set them, and see what they would have done in a day",
			Open: func() screen.Screen { return Limits(env) }},
		{Key: "w", Name: "A watch", Line: "twelve hours at one to four beds, in six to fifteen minutes",
			Open: func() screen.Screen { return Watch(env) }},
		{Key: "h", Name: "Call for help", Line: "a call of twenty seconds, marked part by part",
			Open: func() screen.Screen { return Call(env) }},
		{Key: "t", Name: "Charting", Line: "a strip field by field; causes, and where to look",
			Open: func() screen.Screen { return Chart(env) }},
	})
}

// Calipers is the exercise in measuring.
func Calipers(env *screen.Env) screen.Screen { return measuring.New(env) }

// Scenarios is the list of the scenarios that come along.
func Scenarios(env *screen.Env) screen.Screen { return bedside.NewList(env, library.All()) }

// Alarms is a run of alarms that are real or not.
func Alarms(env *screen.Env) screen.Screen { return bedside.NewAlarms(env) }

// Watch is a shift of twelve hours.
func Watch(env *screen.Env) screen.Screen { return shift.New(env) }

// Scenario is one patient's story.
func Scenario(env *screen.Env, s *script.Scenario) screen.Screen { return bedside.New(env, s) }

// Ectopics is the exercise in counting early ventricular beats.
func Ectopics(env *screen.Env) screen.Screen { return ectopics.New(env, env.Values) }

// Electrodes is the exercise in putting electrodes on.
func Electrodes(env *screen.Env) screen.Screen { return electrodes.New(env) }

// Limits is the exercise in setting alarm limits.
func Limits(env *screen.Env) screen.Screen { return limits.New(env) }

// Call is the exercise in calling for help.
func Call(env *screen.Env) screen.Screen { return calling.New(env) }

// Chart is the exercise in charting strips.
func Chart(env *screen.Env) screen.Screen { return charting.New(env) }

// Settings is the screen of the settings.
func Settings(env *screen.Env) screen.Screen { return start.NewSetup(env) }

// Help says how it goes. Which keys act is told on every screen by itself.
func Help(env *screen.Env) screen.Screen {
	return start.NewPage(env, "How it goes", []string{
		"A strip runs, with the pulse trace under it. First say what it shows: choose with the digits or the arrows, then give the answer with enter. Then say what you do first. After that you are shown at once why.",
		"Before you answer, look: c at the patient, p for the pulse, e at the electrodes. Each takes a second. What the bedside shows decides as much as the strip does.",
		"If you are not sure, say so: \"not sure: check the patient and call\" is always there, and checking the patient is never wrong.",
		"Space holds the strip and lets it run on, l shows the next lead, z draws it twice as large, left and right move along a strip that is held. t shows two or three leads together, v changes the paper speed.",
		"k takes the calipers out on a held strip: the arrows move a leg by 10 ms, with shift by a small box, tab takes the other leg, m repeats the interval along the strip, s snaps the leg to the nearest edge or peak. With the mouse, drag a leg.",
		"On the first strips of a family you read in order before the name: rate, regular or not, P, PR, QRS. Each step is marked at once. That fades, and comes back when names go wrong. n names at once: an arrest is not read step by step.",
		"w writes the name in place of choosing it: a name, or what the trade calls it, such as VT, SVT or afib.",
		"What you take for something else comes to your missed answers. There you see the same strip again, marked, and can try it again, or a fresh one like it. It leaves that list when you have it right again: once on the same strip and twice on fresh ones, not all on one day.",
		"On every screen ? lists the keys that act there, and q goes back. You may leave at any time: every answer is kept as soon as it is given, and where it cannot be kept, the screen says so.",
	})
}
