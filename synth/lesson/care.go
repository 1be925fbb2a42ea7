package lesson

import "telltrace/synth/ecg"

// Sources of first actions. They are recalled, so a ward checks them against the
// edition in force there.
const (
	Guideline      = "AHA 2020 paediatric and adult resuscitation guidelines (from memory)"
	CommonPractice = "common practice"
)

// ByState puts the patient before the rhythm. Without signs of life the answer is
// compressions whatever the strip shows, with arrest giving only what comes next;
// every other state is left to living.
func ByState(arrest Care, living func(ecg.Age, ecg.State) Care) func(ecg.Age, ecg.State) Care {
	return func(age ecg.Age, state ecg.State) Care {
		if state == ecg.NoSignsOfLife {
			c := arrest
			c.Urgency, c.First, c.Also = ArrestNow, Compress, nil
			return c
		}
		return living(age, state)
	}
}

// Shockable is what follows compressions when a shock by the team can end the
// rhythm.
func Shockable() Care {
	return Care{
		Then:    "The team shocks as early as possible; compressions go on until then and again directly after.",
		Caution: "No reading of the strip holds up compressions.",
		Source:  Guideline,
	}
}

// NotShockable is what follows compressions when no shock helps, organised
// complexes without a pulse among them.
func NotShockable() Care {
	return Care{
		Then:    "No shock: compressions and ventilation go on while the team treats by guideline and looks aloud for the cause, lack of oxygen first in a child.",
		Caution: "Complexes on the screen are not a pulse, and a saturation number can stand for seconds after the flow has stopped.",
		Source:  Guideline + "; palpation is unreliable: Tibballs 2009, Resuscitation 80:61 (read)",
	}
}

// Poor is the answer to a pulse with poor perfusion: breathing first, help called,
// nobody leaves. then is what this rhythm adds.
func Poor(then string) Care {
	return Care{
		Urgency: Urgent, First: Support, Also: []Action{CallStay},
		Then:    then,
		Caution: "Feel the pulse again and again: this can turn into an arrest at any moment.",
		Source:  Guideline,
	}
}

// Unsure is the answer when the signs disagree: somebody looks now, and the worse
// sign counts until then.
func Unsure() Care {
	return Care{
		Urgency: Urgent, First: LookCall, Also: []Action{CallStay},
		Then:    "Take the worse sign as true until someone has looked; no certain pulse within ten seconds and no signs of life means compressions.",
		Caution: "Never silence the alarm before somebody has looked at the patient.",
		Source:  CommonPractice,
	}
}

// Words is the action as a choice on the screen, at most 70 characters.
func (a Action) Words() string {
	switch a {
	case Compress:
		return "Start compressions with ventilation, call the resuscitation team"
	case Support:
		return "Open the airway, give oxygen, ventilate; call urgent help and stay"
	case CallStay:
		return "Stay, call now, defibrillator near; 12-lead if it costs no time"
	case AssessTell:
		return "Take full vital signs, look for the cause, tell the team"
	case Chart:
		return "Nothing to mend: chart it at the usual interval"
	case Reattach:
		return "See to the electrode: same site, clean and dry; look again"
	case Settle:
		return "Settle the patient, wait, look again; chart it as artifact"
	case LookCall:
		return "Look at the patient, feel the pulse, call if in doubt"
	case Silence:
		return "Silence the alarm and carry on"
	default:
		return string(a)
	}
}

// Actions lists every first action, the most pressing first.
func Actions() []Action {
	return []Action{Compress, Support, CallStay, LookCall, AssessTell, Reattach, Settle, Chart, Silence}
}
