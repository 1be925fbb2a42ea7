package firstlesson

import "telltrace/synth/ecg"

// A page is a strip and what is said of it.
type page struct {
	title  string
	rhythm string
	age    ecg.Age
	seed   uint64
	marked bool // held, with its waves marked
	text   []string
}

// pages are the lesson in order. Box sizes: standards of paper speed and gain (25 mm/s,
// 10 mm/mV); waves and order of reading: common practice; usual values at an age come
// from the published tables in synth/norms.
var pages = []page{
	{"the paper", "sinus-rhythm", ecg.Years(6), 3, false, []string{
		"The strip runs to the left: what is at the right edge happens now. It is drawn as on paper.",
		"A big box is 0.2 seconds wide and 0.5 mV high; it has five small boxes each way, so a small box is 0.04 seconds and 0.1 mV. Five big boxes are a second. Small ticks at the foot mark seconds, the long one three seconds.",
		"Hold the strip with space, let it run on with space.",
		caution,
	}},
	{"a beat", "sinus-rhythm", ecg.Years(6), 3, true, []string{
		"P: the atria are excited. A small round wave, upright in lead II.",
		"QRS: the ventricles are excited. Tall, quick, narrow.",
		"T: the ventricles recover. Broad and round, upright in lead II in most.",
		"P marks the atria, QRS the ventricles. First find the QRS, then ask: is there a P before each, always at the same distance?",
	}},
	{"the order of reading", "sinus-rhythm", ecg.Years(6), 8, true, []string{
		"Read every strip in the same order, so that nothing is forgotten:",
		"1  Rate. Count the QRS in six seconds and take ten times as many, or divide 1500 by the small boxes between two.",
		"2  Regular or not? Is the distance between QRS always the same?",
		"3  P: one before every QRS, and one QRS after every P?",
		"4  PR: from the beginning of P to the beginning of QRS. The same in every beat?",
		"5  QRS: narrow or wide? Wide is more than two to three small boxes, by age.",
		"6  T: upright in lead II, and not as tall as the QRS?",
		"Only then give it a name. And before all that: look at the patient.",
	}},
	{"usual in a newborn", "sinus-rhythm", ecg.Days(3), 5, false, []string{
		"Three days old. Fast: 100 to 170 a minute awake are usual. PR and QRS are short: everything is smaller and quicker. The axis points to the right, so the QRS may be small in lead I and in lead II.",
		"Read it in order before you go on: rate, regular, P, PR, QRS, T.",
	}},
	{"usual in a child", "sinus-rhythm", ecg.Years(6), 11, false, []string{
		"Six years old. The rate is slower, 75 to 115 a minute at rest, and it breathes: a little faster as the child breathes in. That is healthy.",
		"Read it in order.",
	}},
	{"usual in an adult", "sinus-rhythm", ecg.Years(40), 2, false, []string{
		"Forty years old: 60 to 100 a minute, PR of three to five small boxes, QRS below three.",
		"What is usual depends on the age. A rate of 130 is well for a newborn and a reason to look for a cause in an adult.",
	}},
	{"a strip that lies", "coarse-ventricular-fibrillation", ecg.Years(6), 4, false, []string{
		"Waves without beats: in a patient who does not respond this is an arrest. A child who shakes the cable can draw the same. And a healthy looking strip can belong to a heart that moves no blood.",
		"So: the patient first. Does the child respond, breathe, is there a pulse? The pulse trace under the strip is a second witness: here it is flat.",
		"In practice, look before you answer: c at the patient, p for the pulse, e at the electrodes.",
	}},
	{"now you", "sinus-tachycardia", ecg.Months(8), 6, false, []string{
		"That is all you need to begin. Practice starts with two rhythms set against each other, three strips of each, then adds one after the other. What you take for something else comes back.",
		"If you are not sure, say so: not sure, check the patient and call. It is never wrong.",
		caution,
	}},
}
