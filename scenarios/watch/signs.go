package watch

import (
	"fmt"
	"math"
	"math/rand/v2"

	"telltrace/scenarios"
	"telltrace/synth"
	"telltrace/synth/counter"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// Signs are the vital signs that stand beside a bed.
type Signs struct {
	Heart, Pulse        int // beats/min, 0 for none found
	SpO2                int // %, 0 when the probe finds no pulse
	Systolic, Diastolic int // mmHg
	Breaths             int // per minute
}

// rates are what a condition shows, before the hour's drift.
type rates struct {
	heart, pulse float64
	bedside      scenarios.Bedside
}

// readFor is the length of the strip that rates are counted on, s.
const readFor = 15

// rates counts a condition's strip once: its beats, or, under an artifact, what a
// display's counter makes of it; and the pulse that the probe finds.
func (w *Watch) rates(bed int, c Stage) rates {
	id := w.plan.Identity(bed, c)
	key := id.String()
	if r, ok := w.signs[key]; ok {
		return r
	}
	var r rates
	if strip, marks, err := synth.Render(id, readFor); err == nil {
		bpm, ok := counter.Of(strip.Row(ecg.II), strip.Rate)
		if n := len(marks.Beats); c.Artifact == "" && n > 1 {
			bpm, ok = 60*float64(n-1)/(marks.Beats[n-1].QRS.Onset-marks.Beats[0].QRS.Onset), true
		}
		if ok {
			r.heart = bpm
		}
		if bpm, ok := measure.PulseRate(strip.Witness(ecg.Pleth), strip.Rate); ok {
			r.pulse = bpm
		}
	}
	r.bedside, _ = scenarios.At(id) // the plan was checked
	w.signs[key] = r
	return r
}

// Signs are the vital signs of a bed now: those of the condition, with the slow swing of
// sleep and waking and a little chance from minute to minute.
func (w *Watch) Signs(bed int) Signs { return w.signsAt(bed, w.Condition(bed), w.minute) }

func (w *Watch) signsAt(bed int, c Stage, minute int) Signs {
	r := w.rates(bed, c)
	rng := rand.New(rand.NewPCG(w.plan.Seed+uint64(bed), uint64(minute)))
	sleep := 1 - 0.06*math.Sin(math.Pi*float64(minute)/Minutes) // deepest in the middle of the watch
	drift := func(x float64) int { return int(math.Round(x * sleep * (1 + 0.02*rng.NormFloat64()))) }
	n := r.bedside.Numbers
	now := 1 + 0.02*rng.NormFloat64()
	rate := func(x float64) int { return int(math.Round(x * sleep * now)) }
	s := Signs{Heart: rate(r.heart), Pulse: rate(r.pulse), SpO2: n.SpO2, Systolic: drift(float64(n.Systolic)),
		Diastolic: drift(float64(n.Diastolic)), Breaths: drift(float64(n.Breaths))}
	if s.SpO2 > 0 {
		s.SpO2 = min(100, s.SpO2+rng.IntN(3)-1)
	}
	if c.State == ecg.NoSignsOfLife {
		s.Systolic, s.Diastolic = 0, 0
	}
	if s.Pulse == 0 {
		s.SpO2 = 0
	}
	return s
}

// Trend is the heart rate of a bed over the last minutes, oldest first.
func (w *Watch) Trend(bed, minutes int) []float64 {
	out := make([]float64, 0, minutes)
	for m := max(0, w.minute-minutes+1); m <= w.minute; m++ {
		out = append(out, float64(w.signsAt(bed, w.conditionAt(bed, m), m).Heart))
	}
	return out
}

// conditionAt is how the patient was at an earlier minute.
func (w *Watch) conditionAt(bed, minute int) Stage {
	for _, r := range w.runs {
		if r.Event.Bed == bed && r.Event.Kind != Parent && minute >= r.Event.From && minute < r.Until {
			return r.stage(minute)
		}
	}
	return Stage{Rhythm: w.plan.Beds[bed].Rhythm, State: ecg.Stable}
}

// Finding is what a look at the patient of a bed shows.
func (w *Watch) Finding(bed int) string {
	i := w.current(bed)
	if i >= 0 && w.runs[i].Event.Kind == Passing && !w.runs[i].Event.Limit {
		return "Awake and crying, pink and warm, kicks; calms when spoken to."
	}
	if i >= 0 && w.runs[i].Helped >= 0 && w.runs[i].Event.Kind == Turn {
		return "The team is at the bed."
	}
	return w.rates(bed, w.Condition(bed)).bedside.Child
}

// Clock is a minute of the watch as the time of the night: it begins at seven in the
// evening.
func Clock(minute int) string {
	m := 19*60 + minute
	return fmt.Sprintf("%02d:%02d", m/60%24, m%60)
}
