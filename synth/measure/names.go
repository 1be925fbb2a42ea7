package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// Limits of the names; where an age makes a difference they go with Limits.
const (
	// A ventricular pacemaker is slow below this share of the age's slow limit and
	// accelerated above (adult 40/min; ranges 20-40 and 40-100, read).
	escapeShare = 0.67
	agonalBelow = 26.0 // beats/min (terminal rhythms, common practice)

	// A sine wave of hyperkalaemia: at least this share wider than wide, and not
	// fast (teaching pages, read second-hand; 0.17-0.20 s in the adult).
	sineWidth, sineLeast, sineFast = 1.50, 0.16, 140.0

	wideBeside  = 0.98 // of wide: a QRS that is wide in another lead only
	pauseRR     = 1.70 // of the usual RR: a longer one without P is a pause (1.5-2, common practice)
	breathRange = 0.15 // of the mean RR: longest less shortest of respiratory arrhythmia (over 10-16 %, from memory)
	breathLeap  = 0.85 // of that swing: the largest step from RR to RR
	breathStep  = 0.10 // and the median step at least
	twisted     = 0.35 // Twist of a turning axis
	evenFor     = 20   // RR that show whether a rate moves
	manyShapes  = 0.86 // share of the usual shape below which the shape changes (ours, on made strips)
	veryFast    = 1.25 // of the fast limit, and (both ours)
	veryFastAge = 150  // beats/min, or the fast limit where that is higher: wide and irregular from here on is treated at once
	longQTc     = 0.48 // s, Bazett (torsades usual above 0.50, from memory)

	wenckebachStep = 0.040 // s of PR before a dropped beat over that after it (type 1), read
	evenStep       = 0.022 // at most in type 2
	droppedPP      = 0.35  // of PP: so far from two PP the RR around a dropped beat is in type 2 (ours, on recordings)
	earlyBlocked   = 0.44  // share of PP at which a blocked early P stands at most (0.29 in the fetus, read); 0.5 is 2:1
)

// nameOrganised names a rhythm with complexes.
func (r *Reading) nameOrganised(limits Limits, seconds float64) {
	early := earlyBeats(r.RR)
	fast, slow := r.Rate > limits.Fast, r.Rate < limits.Slow
	regular, wide := r.RRCV < regularCV || len(r.RR) == 1, r.QRS >= limits.Wide
	ectopic := r.ectopics(limits)
	r.dropChance(ectopic)
	r.describe(limits, fast, slow, regular, wide)
	run, count := longestRun(ectopic)
	r.Ectopics, r.LongestRun = count, run
	ownP := r.PPerQRS >= 0.5 && !math.IsNaN(r.PR)
	switch {
	case len(r.Spikes) > 0:
		r.namePaced(seconds)
	case r.sine(limits):
		r.Name = "hyperkalaemic-sine-wave"
		r.origin(ecg.OriginVentricular)
		r.reason("very wide, QRS runs into T without a line between them, not fast: %s", r.Name)
		r.against("a slow ventricular tachycardia looks the same: without a pulse both are treated as arrest; potassium settles it")
	case r.Rate < agonalBelow && wide:
		r.Name = "agonal-rhythm"
		r.origin(ecg.OriginVentricular)
		r.reason("a wide beat now and then, %.0f a minute: %s", r.Rate, r.Name)
	case r.Relation == Flutter:
		r.nameFlutter(ectopic)
	case !ownP && r.fibrillates(ectopic):
		r.nameFibrillation(limits, wide, ectopic)
	case wide && !ownP && r.muscular() && r.Rate > limits.veryFast(): // its own beats are no others
		r.nameWide(limits, regular)
	case count > 0 && count < len(ectopic):
		r.nameEctopics(limits, ectopic, run, count)
	case r.Relation == Dissociated && r.PPerQRS > 1.15:
		r.Name = "third-degree-av-block"
		r.reason("P and QRS each keep their own time, %.1f P for each QRS: %s", r.PPerQRS, r.Name)
	case wide && (!ownP || fast && math.IsNaN(r.QT)): // without a T, what looks like P is it
		r.nameWide(limits, regular)
	case !ownP && regular:
		r.nameNarrow(limits)
	case r.Relation == SomeBlocked && ownP:
		r.nameBlock()
	case ownP && r.PShapes >= 3 && r.otherShapes() >= 0.3 && r.changingPR() && !(fast && regular): // a tachycardia of many sources is irregular
		r.nameShifting(limits)
	case ownP && anyTrue(early) && !r.breathes():
		r.nameEarly(early, limits, fast, slow, wide)
	case ownP:
		r.nameConducted(limits, fast, slow, wide)
	default:
		r.reason("irregular without P: cannot be told from one lead")
		r.against("a lead with clearer P, or a 12-lead recording, would settle it")
	}
}

// sine reports whether very wide QRS run into their T, in waves without points.
func (r *Reading) sine(limits Limits) bool {
	return r.QRS >= max(sineLeast, sineWidth*limits.Wide) && math.IsNaN(r.QT) && r.sineRate()
}

func (r *Reading) sineRate() bool {
	return r.Rate > r.limits.Slow*escapeShare && r.Rate < sineFast && r.RRCV < vtCV
}

// sineLike is sine while the intervals are not known yet.
func (r *Reading) sineLike(m *marker) bool {
	c := m.complex[0]
	return float64(c.off-c.on) >= max(sineLeast, sineWidth*r.limits.Wide)*m.rate && !c.hasT && r.sineRate()
}

// fibrillates reports whether RR between usual beats, which must be the rule, are
// irregularly irregular.
func (r *Reading) fibrillates(ectopic []bool) bool {
	usual := r.usualRR(ectopic)
	return 2*len(usual) >= len(r.RR) && irregularly(usual)
}

// usualRR lists the RR between usual beats.
func (r *Reading) usualRR(ectopic []bool) (rr []float64) {
	for i, x := range r.RR {
		if !ectopic[i] && !ectopic[i+1] && (i == 0 || !ectopic[i-1]) {
			rr = append(rr, x)
		}
	}
	return rr
}

func (r *Reading) nameFlutter(ectopic []bool) {
	r.Name = "atrial-flutter"
	r.reason("waves without rest between QRS, %.0f a minute, %.1f for each QRS: %s", r.AtrialRate, r.PPerQRS, r.Name)
	if r.RRCV < regularCV && math.Abs(r.PPerQRS-2) < 0.1 {
		r.against("at 2:1 a supraventricular tachycardia whose P stands midway looks the same: a change of conduction or a 12-lead recording would settle it")
	}
	if anyTrue(ectopic) {
		r.also("premature-ventricular-beats")
	}
}

func (r *Reading) nameFibrillation(limits Limits, wide bool, ectopic []bool) {
	r.Name = "atrial-fibrillation"
	widths := 0
	for _, b := range r.Marks.Beats {
		if w, ok := b.QRSWidth(); ok && w >= limits.Wide {
			widths++
		}
	}
	if share := r.usualShare(); r.muscular() && (share < 0.6 && r.Twist > twisted && r.Rate > veryFast*limits.Fast ||
		wide && share < 0.75 && r.Twist > twisted && r.Rate > 0.9*limits.Fast ||
		wide && share < manyShapes && r.Rate > limits.veryFast()) {
		r.Name = "polymorphic-ventricular-tachycardia"
		r.origin(ecg.OriginVentricular)
		r.reason("fast, irregular, of changing shape and axis: %s", r.Name)
		r.against("pre-excited atrial fibrillation can look the same: both are treated at once")
		return
	}
	if (wide || 2*widths > len(r.Marks.Beats)) && r.Rate > limits.veryFast() {
		r.Name = "pre-excited-atrial-fibrillation"
		r.reason("irregularly irregular, very fast, wide, no P: %s", r.Name)
		r.against("fibrillation with a bundle branch block, or a ventricular tachycardia, can look the same: a 12-lead recording would settle it")
		return
	}
	r.reason("irregularly irregular, no P before the beats: %s", r.Name)
	r.against("small P waves of changing shape can hide: a lead with clearer P would settle it")
	if anyTrue(ectopic) {
		r.also("premature-ventricular-beats")
	}
}

// veryFast is the rate from which a wide irregular rhythm is no fibrillation that a node conducts.
func (l Limits) veryFast() float64 { return min(veryFast*l.Fast, max(l.Fast, veryFastAge)) }

// muscular reports whether the usual QRS is spread out as one that goes through muscle.
func (r *Reading) muscular() bool { return len(r.builds) > 0 && r.builds[0].spread >= allSpread }

// conducts reports whether a part of the usual QRS is as steep as where the bundles conduct.
func (r *Reading) conducts() bool { return len(r.builds) > 0 && r.builds[0].core < coreLeast }

// usualShare is the share of beats of the usual shape.
func (r *Reading) usualShare() float64 {
	n := 0
	for _, g := range r.Groups {
		if g == 0 {
			n++
		}
	}
	return float64(n) / float64(max(1, len(r.Groups)))
}

// nameWide names rhythms whose every beat is wide and without P of its own.
func (r *Reading) nameWide(limits Limits, regular bool) {
	turning := r.muscular() && len(r.Marks.Beats) >= 8 &&
		(r.Twist > twisted || r.Rate > limits.veryFast() && r.usualShare() < manyShapes)
	switch {
	case r.Rate > max(vtFrom, limits.Fast) && turning:
		r.Name = "polymorphic-ventricular-tachycardia"
		r.reason("wide, fast, of changing shape and axis: %s", r.Name)
	case r.Rate > max(vtFrom, limits.Fast) && r.RRCV < vtCV:
		r.Name = "monomorphic-ventricular-tachycardia"
		r.reason("wide, regular, of one shape, no P before QRS: %s", r.Name)
		r.against("a supraventricular tachycardia with a wide QRS can look the same: treat as ventricular until shown otherwise")
	case r.Rate < escapeShare*limits.Slow:
		r.Name = "idioventricular-rhythm"
		r.reason("wide, slow, no P: %s", r.Name)
	case r.RRCV < vtCV && r.conducts():
		r.reason("wide, no P, but in part as steep as a conducted QRS: cannot be told from one lead")
		r.against("a bundle branch block whose P do not show is likelier than an idioventricular rhythm")
		return
	case r.RRCV < vtCV:
		r.Name = "accelerated-idioventricular-rhythm"
		r.reason("wide, no P, about as fast as a sinus rhythm: %s", r.Name)
		r.against("a bundle branch block whose P do not show looks the same: a lead with clearer P, or a 12-lead recording, would settle it")
	default: // with a bundle branch block fibrillation looks the same
		r.reason("wide, irregular, no P: cannot be told from one lead")
		if r.Rate > limits.veryFast() {
			r.against("so fast and wide it is treated at once, whatever it is: look at the patient, feel the pulse")
		}
		return
	}
	r.origin(ecg.OriginVentricular)
}

// nameNarrow names regular rhythms with narrow QRS and no P before them.
func (r *Reading) nameNarrow(limits Limits) {
	svt := limits.reentry()
	why := "no P before QRS"
	switch r.Relation {
	case Retrograde:
		why = "an inverted P after QRS"
	case Dissociated:
		why = "P slower than QRS and unrelated"
	}
	switch {
	case r.Relation == Dissociated && r.Rate > limits.Fast:
		r.Name = "junctional-ectopic-tachycardia"
	case r.Rate > svt:
		r.Name = "supraventricular-tachycardia"
	case r.Rate > limits.Fast:
		r.Name = "junctional-ectopic-tachycardia"
		r.against("a supraventricular tachycardia, or a sinus tachycardia with P hidden in T, can look the same: onset and a 12-lead recording would settle it")
	case r.Rate < limits.Slow:
		r.Name = "junctional-rhythm"
	default:
		r.Name = "accelerated-junctional-rhythm"
	}
	r.reason("narrow, regular, %.0f a minute, %s: %s", r.Rate, why, r.Name)
}

// breathes reports whether RR swings as with the breath: far, smoothly, and in most
// beats. After an early beat it jumps from one end to the other in one step.
func (r *Reading) breathes() bool {
	if len(r.RR) < 5 {
		return false
	}
	mean, _ := meanAndCV(r.RR)
	low, high := r.RR[0], r.RR[0]
	var steps []float64
	for i, x := range r.RR {
		low, high = min(low, x), max(high, x)
		if i > 0 {
			steps = append(steps, math.Abs(x-r.RR[i-1]))
		}
	}
	swing := high - low
	return swing > breathRange*mean && high < pauseRR*median(r.RR) &&
		longest(steps) < breathLeap*swing && median(steps) > breathStep*swing
}

// nameEarly names rhythms with early narrow beats.
func (r *Reading) nameEarly(early []bool, limits Limits, fast, slow, wide bool) {
	with, without := 0, 0
	for i, e := range early {
		if !e {
			continue
		}
		if r.Marks.Beats[i].P.Present() && r.PRs[i] > 0.55*r.PR {
			with++
		} else {
			without++
		}
	}
	switch {
	case with+without > len(early)/2:
		r.nameConducted(limits, fast, slow, wide)
		return
	case with >= without:
		r.Name = "premature-atrial-beats"
		r.reason("%d early beats of the usual QRS with a P of their own: %s", with, r.Name)
	default:
		r.Name = "premature-junctional-beats"
		r.reason("%d early beats of the usual QRS without P before them: %s", without, r.Name)
		r.against("an early P can hide in the T before: a 12-lead recording would settle it")
	}
	for i, e := range early {
		if e {
			r.Marks.Beats[i].Origin = ecg.OriginAtrial
			if r.Name == "premature-junctional-beats" {
				r.Marks.Beats[i].Origin = ecg.OriginJunctional
			}
		}
	}
}

// nameConducted names rhythms with a P before each QRS: by rate and by what is
// unusual in their shape.
func (r *Reading) nameConducted(limits Limits, fast, slow, wide bool) {
	svt := limits.reentry()
	foreign := r.invertedP && (r.Lead == ecg.I || r.Lead == ecg.II || r.Lead == ecg.AVF) || r.pInI < 0
	base, why := "sinus-rhythm", "a P before each QRS"
	switch {
	case r.LongestRR > pauseRR && !fast:
		base, why = "sinus-pause", "one RR without P is much longer than the rest"
	case foreign && (fast || r.Rate > svt):
		base, why = "atrial-tachycardia", "fast, a P before each QRS that is not the sinus node's"
	case r.Rate > svt:
		base, why = "atrial-tachycardia", "a P before each QRS, faster than a sinus node"
	case r.breathes():
		base, why = "respiratory-sinus-arrhythmia", "RR swings smoothly, P and PR stay the same"
	case fast:
		base = "sinus-tachycardia"
	case slow:
		base = "sinus-bradycardia"
	}
	found := r.findings(limits, wide)
	if foreign && base != "atrial-tachycardia" {
		if r.invertedP && r.Levels.T < 0 && r.Levels.R < -r.Levels.S || !r.invertedP && r.pInI < 0 && r.tInI < 0 {
			found = append([]string{"swapped-electrodes"}, found...)
			r.reason("P and T upside down: electrodes are swapped, or the heart lies on the right")
		} else {
			r.against("P points the wrong way: not from the sinus node, or electrodes are swapped")
			if r.invertedP {
				base = ""
			}
		}
	}
	remarkable := base != "sinus-rhythm" && base != "respiratory-sinus-arrhythmia" &&
		(base != "sinus-bradycardia" || r.Rate < 0.9*limits.Slow) && (base != "sinus-tachycardia" || r.Rate > 1.1*limits.Fast)
	r.Name = base
	if len(found) > 0 && !remarkable {
		r.Name = found[0]
		r.also(base)
		found = found[1:]
	}
	r.also(found...)
	r.reason("%s: %s", why, base)
	if r.Name != base {
		r.reason("beside it: %s", r.Name)
	}
	switch {
	case wide && fast:
		r.against("wide and fast is ventricular until shown otherwise: P may stand there by chance, a 12-lead recording would settle it")
	case wide:
		r.against("the QRS is wide: conduction in the ventricles is slow")
	}
	if base == "sinus-tachycardia" && len(r.RR) >= evenFor && r.RRCV < fixedCV {
		r.against("RR does not change at all: a sinus rate moves a little, flutter at 2:1 and re-entry do not")
	}
}

// also adds ids that hold beside the name.
func (r *Reading) also(ids ...string) {
	for _, id := range ids {
		if id != "" && id != r.Name {
			r.Also = append(r.Also, id)
		}
	}
}

func anyTrue(is []bool) bool {
	for _, b := range is {
		if b {
			return true
		}
	}
	return false
}
