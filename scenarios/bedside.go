package scenarios

import (
	"fmt"
	"math"
	"math/rand/v2"

	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// A Bedside is what stands beside the strip. Patient is on the page from the start;
// Child, Pulse and Electrodes stay hidden until the learner looks.
type Bedside struct {
	Patient    string // one sentence
	Child      string // colour, movement, breathing, response
	Pulse      string // a central pulse, felt
	Electrodes string // electrodes, cable, connections
	Numbers    Numbers
}

// Numbers are the vital signs that do not come from the traces.
type Numbers struct {
	SpO2      int // %, 0 when the probe finds no pulse
	Systolic  int // mmHg, last cuff reading
	Diastolic int // mmHg
	CuffAgo   int // minutes since the cuff reading
	CuffEvery int // minutes between two readings
	Breaths   int // per minute, 0 when none is seen
}

// chanceBedside keeps the bedside's chances apart from those of the strip.
const chanceBedside = 0xbed

// At is the bedside of a synthetic strip. It follows from the identity alone.
func At(id ecg.Identity) (Bedside, error) {
	p, err := synth.Open(id)
	if err != nil {
		return Bedside{}, err
	}
	rng := rand.New(rand.NewPCG(id.Seed, chanceBedside))
	b := Bedside{Patient: sentence(id.Age, rng)}
	b.Child = child(id, rng)
	var flows bool
	if b.Pulse, flows, err = pulse(id); err != nil {
		return Bedside{}, err
	}
	b.Electrodes = electrodes(id)
	b.Numbers = numbers(id, p.Patient(), flows, rng)
	return b, nil
}

// sentence introduces the patient without giving anything away.
func sentence(age ecg.Age, rng *rand.Rand) string {
	reasons := []string{
		"second day after an operation on the belly",
		"in for a chest infection, better than yesterday",
		"watched after a long seizure",
		"waiting for a scan, on a drip",
		"third day after heart surgery",
		"came from the ward for closer watching",
	}
	switch band := norms.BandOf(age).Name; band {
	case "newborn":
		reasons = []string{"born at term, watched for feeding", "born at term, on antibiotics", "first week after heart surgery", "born at term, under the jaundice lamp"}
	case "adult":
		reasons = append(reasons, "came in short of breath", "on a new heart medicine")
	}
	return fmt.Sprintf("Bed %d: %s old, %s.", 1+rng.IntN(12), age.Words(), reasons[rng.IntN(len(reasons))])
}

// child is what a look at the patient shows, one line. The state decides; what the
// strip is about adds its own sign where it has one.
func child(id ecg.Identity, rng *rand.Rand) string {
	switch id.State {
	case ecg.NoSignsOfLife:
		return "Does not respond or move, grey, no breath but a gasp."
	case ecg.PoorPerfusion:
		return "Pale and mottled, cold hands, drowsy; skin fills in five seconds."
	case ecg.NotSure:
		return "Eyes closed, under the blanket; hard to judge in this light."
	}
	switch id.Subject() {
	case "movement", "loose-electrode":
		return "Awake and pink, kicking, and pulling at the cable."
	case "chest-percussion":
		return "Pink, lies on the side; chest physiotherapy is going on."
	case "shivering":
		return "Awake, pink, shivers all over; skin cool."
	case "sinus-tachycardia":
		return "Hot and flushed, whimpering; skin warm and quick to fill."
	case "sinus-bradycardia":
		return "Asleep, pink and warm, stirs when touched."
	case "supraventricular-tachycardia":
		return "Awake, restless, a little pale, skin warm."
	case "monomorphic-ventricular-tachycardia":
		return "Awake, uneasy, a little pale; answers, skin warm."
	}
	return []string{
		"Awake, pink and warm, breathing easily.",
		"Asleep, pink and warm, breathing quietly.",
		"Looks around, pink; skin fills at once.",
	}[rng.IntN(3)]
}

// felt is how long a pulse is felt for, s: ten seconds at most.
const felt = 10

// pulse is what a finger on a central pulse feels: the pulses that the heart really
// sends, whatever disturbs the tracing. flows tells whether there are any.
func pulse(id ecg.Identity) (words string, flows bool, err error) {
	id.Artifact, id.Place, id.From, id.To = "", "", 0, 0
	strip, _, err := synth.Render(id, felt)
	if err != nil {
		return "", false, err
	}
	trace := strip.Witness(ecg.Pleth)
	rate, ok := measure.PulseRate(trace, strip.Rate)
	switch {
	case id.State == ecg.NotSure:
		return "Not felt for certain; it may be your own.", ok, nil
	case !ok:
		return "None felt in ten seconds.", false, nil
	}
	strength, where, how := "Strong", "at the neck", "regular"
	if id.State == ecg.PoorPerfusion {
		strength = "Weak"
	}
	if id.Age.Years() < 1 {
		where = "at the upper arm"
	}
	switch apart := unevenness(measure.PulseOnsets(trace, strip.Rate)); {
	case apart > 1.7:
		how = "uneven, beats missing"
	case apart > 1.35:
		how = "uneven"
	}
	return fmt.Sprintf("%s %s, about %d a minute, %s.", strength, where, 5*int(math.Round(rate/5)), how), true, nil
}

// unevenness is how many times longer the longest time between two beats (s) is than
// the shortest: a finger notices about a third, and nearly twice is a beat left out.
func unevenness(beats []float64) float64 {
	longest, shortest := 0.0, math.Inf(1)
	for i := 1; i < len(beats); i++ {
		d := beats[i] - beats[i-1]
		longest, shortest = math.Max(longest, d), math.Min(shortest, d)
	}
	return longest / shortest
}

// electrodes is what a look at the electrodes shows.
func electrodes(id ecg.Identity) string {
	kind, ok := artifact.ByID(id.Artifact)
	if !ok {
		return "All sit firmly, gel moist, every clip in its place."
	}
	place := kind.Place(id)
	name := map[ecg.Electrode]string{ecg.RA: "right arm (RA)", ecg.LA: "left arm (LA)", ecg.LL: "left leg (LL)", ecg.RL: "right leg (RL)", ecg.V: "chest (V)"}[ecg.Electrode(place)]
	switch kind.ID {
	case "disconnected-lead":
		return fmt.Sprintf("The %s clip has come off and hangs loose.", name)
	case "loose-electrode":
		return fmt.Sprintf("The %s electrode lifts at its rim; its gel is dry.", name)
	case "movement":
		return fmt.Sprintf("All clips are on; every kick pulls at the %s electrode.", name)
	case "chest-percussion":
		return "All clips are on; hands pat the chest between them."
	case "shivering":
		return "All clips are on, on arms and legs that tremble."
	case "compressions":
		return "All clips are on; the cable moves with every push."
	case "mains-hum":
		return fmt.Sprintf("All clips are on; the %s one is dry, by a mains lead.", name)
	case "baseline-wander":
		return fmt.Sprintf("All clips are on; the %s one rides on the breath.", name)
	case "low-amplitude":
		return "All clips are on; the skin under them is wet."
	case "swapped-electrodes":
		a, b := artifact.Pair(place)
		return fmt.Sprintf("By their letters, %s and %s have changed places.", a, b)
	case "pulse-probe-fault":
		return map[string]string{
			artifact.ProbeOff: "All sit firmly; the finger probe has slipped off.",
			artifact.ColdHand: "All sit firmly; the hand with the finger probe is cold and white.",
			artifact.CuffUp:   "All sit firmly; the cuff goes up on the arm with the probe.",
			artifact.Gain:     "All sit firmly; the probe lies on the sheet, its trace drawn large.",
		}[place]
	}
	return fmt.Sprintf("Something is wrong at the %s electrode.", name)
}

// numbers draws vital signs that fit age and state. The cuff reading is from before
// the strip: it cannot know yet.
func numbers(id ecg.Identity, p rhythm.Patient, flows bool, rng *rand.Rand) Numbers {
	n := Numbers{
		SpO2:    96 + rng.IntN(5),
		CuffAgo: 2 + rng.IntN(24), CuffEvery: 30,
		Breaths: int(math.Round(p.Breaths)),
	}
	systolic := p.Systolic * (0.96 + 0.08*rng.Float64())
	if !flows {
		n.SpO2, n.Breaths = 0, 0 // whatever the state looks like: the probe finds nothing
	}
	switch id.State {
	case ecg.NoSignsOfLife:
		n.SpO2, n.Breaths = 0, 0
	case ecg.PoorPerfusion:
		n.SpO2 = 84 + rng.IntN(7)
		systolic = math.Min(systolic, norms.Hypotension(id.Age)-3-6*rng.Float64())
		n.CuffAgo, n.CuffEvery = 1+rng.IntN(3), 5
		n.Breaths = int(math.Round(norms.RespiratoryRate(id.Age).Accept.High * (1.05 + 0.15*rng.Float64())))
	}
	n.Systolic = int(math.Round(systolic))
	n.Diastolic = int(math.Round(systolic * (0.56 + 0.08*rng.Float64())))
	return n
}
