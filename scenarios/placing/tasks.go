package placing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
)

// A Drawn is one task with what its picture shows.
type Drawn struct {
	task.Task
	Code   Code
	Cable  []ecg.Electrode
	Behind bool // the patient lies on the belly: seen from behind
	Placed func([]task.Value) Placement
	Trace  func([]task.Value) (ecg.Strip, ecg.Marks, error)
	Hidden bool          // where the clips sit is not seen before the answer
	Faulty ecg.Electrode // the one that has a fault, "" for none
}

// Kinds is how many kinds of task there are; an exercise goes through all.
const Kinds = 10

// Draw makes the task of a kind, 0 to Kinds-1, in a colour code.
func Draw(kind int, code Code, rng *rand.Rand) (Drawn, error) {
	d := Drawn{Code: code, Cable: Five}
	switch kind {
	case 0:
		d.Cable = Three
		return d.place(rng)
	case 1, 2:
		return d.swapped(rng, false)
	case 3:
		return d.place(rng)
	case 4:
		return d.fault(rng, []string{"loose-electrode:RA", "loose-electrode:LA", "loose-electrode:LL"}[rng.IntN(3)])
	case 5:
		return d.lead(rng)
	case 6:
		return d.fault(rng, []string{"mains-hum:RA", "mains-hum:LA", "mains-hum:LL", "low-amplitude"}[rng.IntN(4)])
	case 7:
		d.Cable, d.Behind = Three, true
		if rng.IntN(2) == 0 {
			return d.place(rng)
		}
		return d.swapped(rng, true)
	case 8:
		return d.inverted(rng)
	case 9:
		return d.fault(rng, []string{"loose-electrode:RL", "loose-electrode:RL", "disconnected-lead:LL"}[rng.IntN(3)])
	}
	return d, fmt.Errorf("there is no task %d on electrodes; they go from 0 to %d", kind, Kinds-1)
}

// ages are those met in the exercise.
var ages = []ecg.Age{ecg.Days(10), ecg.Months(4), ecg.Years(3), ecg.Years(8), ecg.Years(44)}

func draw[T any](from []T, rng *rand.Rand) T { return from[rng.IntN(len(from))] }

// patient is one with nothing wrong.
func patient(rhythm string, age ecg.Age, rng *rand.Rand) ecg.Identity {
	return ecg.Synthetic(rhythm, age, rng.Uint64N(1_000_000))
}

// clip is an electrode as its clip is lettered.
func (d Drawn) clip(e ecg.Electrode) string { return d.Code.Clip(e) }

// fixed lets the picture stay as it is, whatever is filled in.
func (d *Drawn) fixed(at Placement, id ecg.Identity) {
	d.Placed = func([]task.Value) Placement { return at }
	d.Trace = func([]task.Value) (ecg.Strip, ecg.Marks, error) { return synth.Render(id, seconds) }
}

// place is putting every clip of the cable on.
func (d Drawn) place(rng *rand.Rand) (Drawn, error) {
	age := draw(ages, rng)
	if d.Behind {
		age = draw([]ecg.Age{ecg.Months(4), ecg.Years(3)}, rng)
	}
	id := patient("sinus-rhythm", age, rng)
	sites := Sites
	if len(d.Cable) == len(Three) {
		sites = Sites[:4]
	}
	sites = slices.Clone(sites)
	rng.Shuffle(len(sites), func(i, j int) { sites[i], sites[j] = sites[j], sites[i] })
	lies := "lies on the back."
	if d.Behind {
		lies = "lies on the belly and is seen from behind; sides are the patient's own."
	}
	d.Strip, d.Subject, d.Inline = id, "sinus-rhythm", true
	d.Text = fmt.Sprintf("Put the %d electrodes on (%s code). The patient, %s old, %s", len(d.Cable), d.Code, age.Words(), lies)
	right := Right(d.Cable)
	for _, e := range d.Cable {
		f := task.Field{Name: d.clip(e)}
		for _, s := range sites {
			f.Choices = append(f.Choices, task.Choice{Words: s.Words(), Right: s == right[e], Why: why(e, s, right[e])})
		}
		d.Fields = append(d.Fields, f)
	}
	d.Placed = func(v []task.Value) Placement {
		p := Placement{}
		for i, e := range d.Cable {
			if v[i] != task.Unset {
				p[e] = sites[v[i]]
			}
		}
		return p
	}
	d.Trace = func(v []task.Value) (ecg.Strip, ecg.Marks, error) { return Trace(id, d.Cable, d.Placed(v)) }
	d.After = func(v []task.Value) []string { return []string{d.asPlaced(d.Placed(v)), Skin(age)} }
	return d, nil
}

func why(e ecg.Electrode, s, right Site) string {
	if s == right {
		return map[ecg.Electrode]string{
			ecg.RA: "I and II are measured from here.",
			ecg.LA: "I is measured to here, III from here.",
			ecg.LL: "II and III are measured to here; clear of the diaphragm where breathing is deep.",
			ecg.RL: "The reference; all leads need it, none is drawn from it.",
			ecg.V:  "V1: count the spaces from the notch of the breastbone, the second rib beside it.",
		}[e]
	}
	if e == ecg.RL {
		return "A reference works anywhere, but there it takes the place of another clip."
	}
	return fmt.Sprintf("There it records the %s.", s.Words())
}

// asPlaced says what the leads show as the clips sit.
func (d Drawn) asPlaced(at Placement) string {
	for _, pair := range Pairs {
		a, b := artifact.Pair(pair)
		swapped := Right(d.Cable)
		if _, ok := swapped[b]; !ok {
			continue
		}
		swapped[a], swapped[b] = swapped[b], swapped[a]
		if equal(at, swapped) {
			return fmt.Sprintf("%s and %s have changed places: %s.", d.clip(a), d.clip(b), Becomes(pair))
		}
	}
	if equal(at, Right(d.Cable)) {
		return "All clips sit where they belong: I and III add up to II."
	}
	return "Compare every lead with an earlier strip whenever clips were moved."
}

func equal(a, b Placement) bool {
	for e, s := range b {
		if a[e] != s {
			return false
		}
	}
	return true
}

// swapped is finding which two clips have changed places.
func (d Drawn) swapped(rng *rand.Rand, prone bool) (Drawn, error) {
	pair := draw([]string{"RA-LA", "RA-LA", "RA-LL", "LA-LL", "RA-RL", "LA-RL"}, rng)
	age := draw(ages[1:], rng)
	said := "The clips were put back after a bath"
	if prone {
		pair, age = "RA-LA", draw([]ecg.Age{ecg.Months(4), ecg.Years(3)}, rng)
		said = "The patient was turned onto the belly and the clips put on anew"
	}
	id, err := upright(age, rng)
	if err != nil {
		return d, err
	}
	id.Artifact, id.Place = "swapped-electrodes", pair
	a, b := artifact.Pair(pair)
	at := Right(d.Cable)
	at[a], at[b] = at[b], at[a]
	d.fixed(at, id)
	d.Strip, d.Subject, d.Hidden = id, "swapped-electrodes", true
	d.Text = fmt.Sprintf("%s; %s old. Before, I, II and III pointed up. Which two have changed places?", said, age.Words())
	var f task.Field
	f.Name = "changed places"
	for _, p := range Pairs {
		if x, y := artifact.Pair(p); p != "LL-RL" && (len(d.Cable) == len(Five) || y != ecg.RL) {
			why := fmt.Sprintf("With these two exchanged %s.", Becomes(p))
			if p == pair && prone {
				why += " A turned patient's left and right stay the patient's own: on the back they lie the other way round for who looks."
			}
			f.Choices = append(f.Choices, task.Choice{Words: d.clip(x) + " and " + d.clip(y), Right: p == pair, Why: why})
		}
	}
	f.Choices = append(f.Choices, task.Choice{Words: "none: this is the heart", Why: fmt.Sprintf("With the clips right I, II and III point up here; now %s. It began with work on the cable.", Becomes(pair))})
	d.Fields = []task.Field{f}
	d.After = func([]task.Value) []string {
		return []string{fmt.Sprintf("What it was: %s. Put each clip right by its letters, and correct the label of any strip that was filed. A heart on the right side stays reversed with the clips right.", Becomes(pair))}
	}
	return d, nil
}

// upright draws a patient whose limb leads all point up, each by enough to see it turned over:
// only then does each exchange show by the limb leads alone.
func upright(age ecg.Age, rng *rand.Rand) (ecg.Identity, error) {
	for range tries {
		id := patient("sinus-rhythm", age, rng)
		id.Trunk, id.Leads = true, Leads(Three)
		s, m, err := synth.Render(id, seconds)
		if err != nil {
			return id, err
		}
		up := true
		for _, c := range Complexes(s, m) {
			up = up && c.R > c.S+0.15
		}
		if up {
			return id, nil
		}
	}
	return ecg.Identity{}, fmt.Errorf("no patient of %s points up in I, II and III in %d draws", age.Words(), tries)
}

// tries bounds the search for a patient who shows what is asked about.
const tries = 60

// lead is choosing the lead to watch: V1 in adults, II in children (Sandau 2017, Circulation
// 136:e273, read in summary; common practice). Only patients are taken in whom its QRS stands well
// above T, in children with the tallest R of all.
func (d Drawn) lead(rng *rand.Rand) (Drawn, error) {
	age := draw([]ecg.Age{ecg.Months(4), ecg.Years(3), ecg.Years(8), ecg.Years(44), ecg.Years(71)}, rng)
	best := ecg.II
	if age.Years() >= 16 {
		best = ecg.V1
	}
	for range tries {
		id := patient("sinus-rhythm", age, rng)
		id.Trunk, id.Leads = true, Leads(d.Cable)
		s, m, err := synth.Render(id, seconds)
		if err != nil {
			return d, err
		}
		shapes := Complexes(s, m)
		if c := shapes[best]; c.QRS() < wellAbove*math.Abs(c.T) || best == ecg.II && slices.ContainsFunc(s.Leads, func(l ecg.Lead) bool { return shapes[l].R > c.R }) {
			continue
		}
		d.fixed(Right(d.Cable), id)
		d.Strip, d.Subject = id, "sinus-rhythm"
		d.Text = fmt.Sprintf("The patient, %s old, is to be watched. Which lead do you choose: clean, QRS well above T, and best for telling rhythms?", age.Words())
		f := task.Field{Name: "lead"}
		for _, l := range s.Leads {
			c := shapes[l]
			why := fmt.Sprintf("Here QRS in %s is %.1f mV high and T %.1f mV. ", l, c.QRS(), math.Abs(c.T))
			if best == ecg.V1 {
				why += "In adults V1 is watched first: it tells wide beats of the ventricles from others best."
			} else {
				why += "In children II is watched first: tall R, clear P. A tall T would be counted as a beat."
			}
			f.Choices = append(f.Choices, task.Choice{Words: string(l), Right: l == best, Why: why})
		}
		d.Fields = []task.Field{f}
		return d, nil
	}
	return d, fmt.Errorf("no patient of %s shows QRS well above T in %s in %d draws", age.Words(), best, tries)
}

// wellAbove is how many times higher than T the QRS of a lead to watch is, so that a counter
// with a T filter sees it (common practice).
const wellAbove = 2

// reasons of an inverted T: V1 of children from standard paediatric texts (from memory), the
// others by the leads' formulas and common practice.
var reasons = []struct{ rhythm, artifact, words, why string }{
	{"sinus-rhythm", "swapped-electrodes:RA-LL", "two clips have changed places", "P, QRS and T of II are upside down together: that is the cable. Put the clips right; what stays is real."},
	{"inverted-t-waves", "", "T alone is inverted: real, 12-lead and tell the team", "P and QRS point up and T down, where it points up at this age: check the clips, then a 12-lead, and tell the team."},
	{"sinus-rhythm", "", "it is so in V1 at this age", "From the first week to about adolescence T points down in V1; an upright one would be the finding."},
	{"left-bundle-branch-block", "", "QRS is wide, T goes against it", "A wide QRS draws its T the other way; the QRS is the finding."},
}

// inverted is saying why a T points down.
func (d Drawn) inverted(rng *rand.Rand) (Drawn, error) {
	k := rng.IntN(len(reasons))
	r := reasons[k]
	in, age := ecg.II, draw([]ecg.Age{ecg.Years(3), ecg.Years(8)}, rng)
	switch k {
	case 2:
		in = ecg.V1
	case 3:
		in, age = ecg.I, ecg.Years(44)
	}
	for range tries {
		id := patient(r.rhythm, age, rng)
		id.Trunk, id.Leads = true, Leads(d.Cable)
		id.Artifact, id.Place, _ = strings.Cut(r.artifact, ":")
		s, m, err := synth.Render(id, seconds)
		if err != nil {
			return d, err
		}
		c := Complexes(s, m)[in]
		upsideDown := k == 0
		if c.T > -0.08 || in != ecg.V1 && (c.Up() == upsideDown || c.QRS() < 0.3) {
			continue
		}
		at := Right(d.Cable)
		if k == 0 {
			at[ecg.RA], at[ecg.LL] = at[ecg.LL], at[ecg.RA]
		}
		d.fixed(at, id)
		d.Strip, d.Subject, d.Hidden = id, id.Subject(), true
		d.Text = fmt.Sprintf("The patient is %s old, awake and as usual. Why does T point down in %s?", age.Words(), in)
		f := task.Field{Name: "why"}
		for i, o := range reasons {
			why := r.why
			if i == k {
				why = o.why
			}
			f.Choices = append(f.Choices, task.Choice{Words: o.words, Right: i == k, Why: why})
		}
		d.Fields = []task.Field{f}
		return d, nil
	}
	return d, fmt.Errorf("no patient of %s shows T down in %s with %s in %d draws", age.Words(), in, r.rhythm, tries)
}
