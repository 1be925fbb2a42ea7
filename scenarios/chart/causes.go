package chart

import (
	"math/rand/v2"
	"slices"

	"telltrace/scenarios/task"
	"telltrace/synth/ecg"
)

// A cause that can be undone, with where one looks for it.
type cause struct {
	name, look, why string
}

// causes are those gone through aloud in an arrest and before it, children's first (AHA 2020,
// paediatric and adult, from memory); tube, lines and wires of intensive care are common practice.
var causes = []cause{
	{"lack of oxygen", "airway, chest movement, oxygen, tube and its depth", "The commonest in a child: open, ventilate, look whether the chest rises; a tube may be blocked, out or too deep."},
	{"loss of volume", "skin refill, losses, drains, belly, last input", "Cold, slow refill, losses: volume is given by order."},
	{"acidosis", "blood gas", "A blood gas says so; breathing and flow are mended first."},
	{"low glucose", "glucose at the bedside", "Small children run out of glucose within hours: measure it."},
	{"potassium or another electrolyte", "blood gas or laboratory, infusions, kidneys", "Wide QRS and tall T: measure, stop what contains it by order or policy."},
	{"cold", "core temperature", "Measure in the core: resuscitation goes on while warming, by guideline."},
	{"air under pressure in the chest", "both sides of the chest: movement, breath sounds", "One side silent and rising: the team lets the air out at once, it does not wait for a picture."},
	{"blood or fluid round the heart", "drains, neck veins, echo by the team", "Drains that stop, veins that fill, pressure that falls: the team looks by echo."},
	{"a poison or a drug", "what, how much, when: bottles, infusions, the last dose", "Ask and look for the packet; infusions may have run in or stopped. Poisons advice by local policy."},
	{"a clot in lung or heart", "legs, lines, saturation, echo by the team", "Sudden, with lines or long rest: say it aloud to the team."},
}

// A case points at one cause.
type story struct {
	cause       int
	age         ecg.Age
	rhythm      string
	state       ecg.State
	text        string
	alternative []int // causes that are offered beside it
}

var stories = []story{
	{0, ecg.Months(4), "sinus-bradycardia", ecg.PoorPerfusion, "4 months old, ventilated. After turning, the saturation falls to 60 and then the rate; the chest hardly moves.", []int{1, 4, 7, 5}},
	{1, ecg.Years(2), "sinus-tachycardia", ecg.PoorPerfusion, "2 years old, three days of diarrhoea. Fast and faster, cold hands, skin fills in five seconds, sunken eyes.", []int{7, 2, 8, 0}},
	{4, ecg.Years(8), "peaked-t-waves", ecg.Stable, "8 years old, kidneys failing, no urine since noon. T waves have grown tall and narrow; QRS is wider than this morning.", []int{8, 5, 2, 3}},
	{7, ecg.Months(14), "sinus-tachycardia", ecg.PoorPerfusion, "14 months old, first evening after heart surgery. The drain has stopped, neck veins are full, pressure falls, complexes are smaller.", []int{1, 6, 5, 4}},
	{6, ecg.Years(5), "sinus-tachycardia", ecg.PoorPerfusion, "5 years old, ventilated after an accident. Suddenly hard to ventilate; one side of the chest stands still and sounds silent.", []int{7, 0, 9, 1}},
	{8, ecg.Years(3), "sinus-bradycardia", ecg.PoorPerfusion, "3 years old, found asleep beside the grandparents' open tablets. Slow, drowsy, small pupils; breathing is shallow.", []int{3, 5, 4, 2}},
	{3, ecg.Days(3), "sinus-bradycardia", ecg.PoorPerfusion, "3 days old, fed little since yesterday. Limp, pale, trembling before; breathing well, saturation good.", []int{5, 0, 4, 1}},
	{5, ecg.Years(6), "sinus-bradycardia", ecg.PoorPerfusion, "6 years old, pulled out of a cold pond. Stiff and cold to the touch, slow, breathing with help.", []int{3, 8, 4, 7}},
	{9, ecg.Years(44), "sinus-tachycardia", ecg.PoorPerfusion, "44 years old, two weeks in bed with a broken leg. Suddenly short of breath, saturation 82 on oxygen, pressure low.", []int{1, 7, 4, 2}},
	{2, ecg.Years(13), "sinus-tachycardia", ecg.PoorPerfusion, "13 years old, new diabetes. Deep fast breaths, drowsy, glucose already measured and very high.", []int{3, 6, 8, 7}},
}

// Causes draws a patient in whom one reversible cause is to be thought of first.
func Causes(rng *rand.Rand) task.Task {
	s := stories[rng.IntN(len(stories))]
	id := ecg.Synthetic(s.rhythm, s.age, rng.Uint64N(1_000_000))
	id.State = s.state
	offered := append([]int{s.cause}, s.alternative...)
	slices.Sort(offered)
	name, look := task.Field{Name: "cause"}, task.Field{Name: "look at"}
	for _, k := range offered {
		c := causes[k]
		why := causes[s.cause].why
		name.Choices = append(name.Choices, task.Choice{Words: c.name, Right: k == s.cause, Why: why})
		look.Choices = append(look.Choices, task.Choice{Words: c.look, Right: k == s.cause, Why: "That is where " + causes[s.cause].name + " shows."})
	}
	rng.Shuffle(len(look.Choices), func(i, j int) { look.Choices[i], look.Choices[j] = look.Choices[j], look.Choices[i] })
	return task.Task{Strip: id, Subject: s.rhythm, Text: s.text + " Which cause do you name first, and where do you look?",
		Fields: []task.Field{name, look},
		After: func([]task.Value) []string {
			return []string{
				"To go through aloud: lack of oxygen, volume, acidosis, glucose, potassium, cold; air in the chest, fluid round the heart, poison, clot, injury; and here tube, lines, infusions and pacing wires.",
				"Help is called first, and nothing of this holds up compressions. Current resuscitation guidelines and local policy come first.",
			}
		}}
}
