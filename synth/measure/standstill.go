package measure

import "slices"

// P waves alone, of a heart whose ventricles stand still, would else be taken for
// complexes: they are the steepest that there is. Limits set on made strips.
const (
	aloneTallest = 0.19 // mV; a P is rarely above 0.2 in a lead (0.25 to 0.3 at most, handbook rule)
	aloneSteep   = 0.68 // of its height within twice halfStep
	aloneBend    = 1.12 // of its height: a QRS is sharper
	aloneQuiet   = 0.17 // of its height: movement of the line between them, where T would be
	aloneRoom    = 0.10 // s on each side of a wave that the line has to come to rest
	aloneEven    = 0.15 // RRCV at most
	aloneAlike   = 0.80
	aloneLeast   = 4
)

// setApartP takes what was found for beats as P waves where they are low, rise slowly,
// keep time, and nothing follows them.
func (t *tracing) setApartP() {
	f := t.features
	if t.kind == Disconnected || len(t.beats) < aloneLeast || len(t.spikes) > 0 || !(f.rrCV < aloneEven) || f.alike < aloneAlike {
		return
	}
	each := make([]float64, len(t.beats))
	usual := func(what func(b candidate) float64) float64 {
		for i, b := range t.beats {
			each[i] = what(b)
		}
		return quantileOf(each, 0.5)
	}
	size := usual(func(b candidate) float64 { return b.size })
	if size > aloneTallest || usual(func(b candidate) float64 { return b.slope / b.size }) > aloneSteep ||
		usual(func(b candidate) float64 { return b.bend / b.size }) > aloneBend {
		return
	}
	var rest, rr []float64
	for i := 1; i < len(t.beats); i++ {
		rr = append(rr, float64(t.beats[i].at-t.beats[i-1].at)/t.rate)
	}
	if 60/median(rr) < agonalBelow {
		return
	}
	room := int(aloneRoom * t.rate)
	for i := 1; i < len(t.beats); i++ {
		if from, to := t.beats[i-1].at+room, t.beats[i].at-room; to > from {
			rest = append(rest, span(t.moving[from/t.step:to/t.step]))
		}
	}
	if len(rest) == 0 || median(rest) > aloneQuiet*size {
		return
	}
	all := t.shapes[0].beats
	reach := int(prShortest * 2 * t.rate)
	a := averaged(t.mv, t.at, all, reach, reach, t.rate)
	smooth(a.mv, slices.Clone(a.mv), odd(mains55, t.rate))
	wave, ok := tallest(a.mv, 0, len(a.mv)-1, reach)
	if !ok || float64(wave.offset-wave.onset) > pLongest*t.rate {
		return
	}
	for _, at := range t.at {
		t.onlyP = append(t.onlyP, bump{at + wave.onset - reach, at + wave.peak - reach, at + wave.offset - reach, wave.height})
	}
	t.kind = Flat
	t.beats, t.at, t.group, t.shapes = nil, nil, nil, nil
}

// markOnlyP marks P waves that no QRS follows.
func (r *Reading) markOnlyP(t tracing) {
	var pp []float64
	for i, p := range t.onlyP {
		r.Marks.P = append(r.Marks.P, p.span(t.rate))
		if i > 0 {
			pp = append(pp, float64(p.peak-t.onlyP[i-1].peak)/t.rate)
		}
	}
	r.AtrialRate = 60 / median(pp)
	r.Blocked, r.MostBlocked = len(t.onlyP), len(t.onlyP)
	r.Name = "p-wave-asystole"
	r.reason("small even waves of P's size, %.0f a minute, and no QRS after them: %s", r.AtrialRate, r.Name)
	r.against("look at the patient and the electrodes: QRS that are small in one lead can show in another")
}
