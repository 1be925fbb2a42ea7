package placing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// faults are what can be wrong, with how it shows.
var faults = []struct{ id, words, shows string }{
	{"loose-electrode", "an electrode is loose", "Jumps and crackle in the leads of one electrode, the beats between them as before."},
	{"mains-hum", "the gel of an electrode is dry", "An even trembling band of the mains in the leads of one electrode."},
	{"low-amplitude", "the skin is wet under all of them", "Everything is small in every lead, and nothing else is changed."},
	{"reference", "the reference is bad", "Every lead jumps at once: only the reference is common to all."},
	{"disconnected-lead", "a clip is off", "The leads of one electrode are a straight line, the others go on."},
}

// fault is saying what is wrong, where, and how the skin is got ready.
func (d Drawn) fault(rng *rand.Rand, what string) (Drawn, error) {
	age := draw(ages, rng)
	id, err := faulty(what, age, rng)
	if err != nil {
		return d, err
	}
	d.fixed(Right(d.Cable), id)
	d.Strip, d.Subject, d.Hidden, d.Faulty = id, id.Artifact, true, ecg.Electrode(id.Place)
	d.Text = fmt.Sprintf("The patient, %s old, lies still and is well: you have looked. What is wrong, where, and what before a new electrode?", age.Words())
	kind := id.Artifact
	if id.Place == string(ecg.RL) {
		kind = "reference"
	}
	var wrong, where task.Field
	wrong.Name, where.Name = "wrong", "where"
	for _, f := range faults {
		wrong.Choices = append(wrong.Choices, task.Choice{Words: f.words, Right: f.id == kind, Why: f.shows})
	}
	for _, e := range []ecg.Electrode{ecg.RA, ecg.LA, ecg.LL, ecg.RL} {
		where.Choices = append(where.Choices, task.Choice{Words: d.clip(e), Right: string(e) == id.Place, Why: spoils(e)})
	}
	where.Choices = append(where.Choices, task.Choice{Words: "no single one", Right: id.Place == "", Why: "One electrode alone would leave a limb lead clean, or, as reference, let every lead jump."})
	d.Fields = []task.Field{wrong, where, skin(age)}
	return d, nil
}

// shown is how much of a strip even the smallest window shows, s from its end, and visible
// how far a lead is moved that looks spoiled, mV.
const (
	shown   = 3.5
	visible = 0.12
)

// faulty draws a patient with a fault whose doings are seen in the smallest window, in every
// lead that the electrode spoils.
func faulty(what string, age ecg.Age, rng *rand.Rand) (ecg.Identity, error) {
	for range tries {
		clean := patient("sinus-rhythm", age, rng)
		clean.Trunk, clean.Leads = true, Leads(Three)
		id := clean
		id.Artifact, id.Place, _ = strings.Cut(what, ":")
		before, _, err := synth.Render(clean, seconds)
		if err != nil {
			return id, err
		}
		after, _, err := synth.Render(id, seconds)
		if err != nil {
			return id, err
		}
		spoiled := 0
		for row := range after.MV {
			most := 0.0
			for i := int((seconds - shown) * after.Rate); i < len(after.MV[row]); i++ {
				most = max(most, math.Abs(after.MV[row][i]-before.MV[row][i]))
			}
			if most > visible {
				spoiled++
			}
		}
		want := 2
		if id.Place == "" || id.Place == string(ecg.RL) {
			want = len(after.MV)
		}
		if spoiled >= want {
			return id, nil
		}
	}
	return ecg.Identity{}, fmt.Errorf("no patient of %s shows %s in %d draws", age.Words(), what, tries)
}

// spoils says which limb leads an electrode spoils, by the leads' formulas.
func spoils(e ecg.Electrode) string {
	return map[ecg.Electrode]string{
		ecg.RA: "It spoils I and II and leaves III clean.",
		ecg.LA: "It spoils I and III and leaves II clean.",
		ecg.LL: "It spoils II and III and leaves I clean.",
		ecg.RL: "The reference spoils all leads at once.",
	}[e]
}

// skin is the question of how to get the skin ready.
func skin(age ecg.Age) task.Field {
	young := tender(age)
	why := Skin(age)
	return task.Field{Name: "skin", Choices: []task.Choice{
		{Words: "alcohol wipe, let it dry", Unsafe: young, Why: "Alcohol dries the skin and burns that of a newborn. " + why},
		{Words: "soap and water, dry, clip hair, rub lightly", Right: !young, Unsafe: young, Why: why},
		{Words: "new one on top of the old gel", Why: "Old gel and sweat are what fails. " + why},
		{Words: "peel off wet; warm water, dry; no rubbing", Right: young, Why: why},
	}}
}

// Skin is how skin is got ready at an age: AACN practice alert (read) for washing, no alcohol
// and daily change; the rule for newborn skin is common practice.
func Skin(age ecg.Age) string {
	if tender(age) {
		return "Newborn skin: warm water and a dry cloth, small gel electrodes kept while they work, peeled off wet. Never rub, never alcohol."
	}
	return "Skin: wash with soap and water, dry, clip hair, rub lightly where the skin is whole; no alcohol, new electrodes every day."
}

func tender(age ecg.Age) bool { return norms.BandOf(age).Name == "newborn" }
