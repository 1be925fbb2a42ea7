package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// From how many beats on a strip shows what the patient's usual beats are, so that each
// beat can be typed against them. Shorter strips are judged by nameOrganised alone.
const typedFrom = 30

// A build is how a QRS is made, whatever it points to: muscle conducts more slowly than
// the bundles, so a beat that spreads through it is spread out in time and less steep for
// its size.
type build struct {
	spread float64 // of the steepness around its middle (standard deviation), in wide QRS of that age
	core   float64 // the same of what is steeper than P and T are
	steep  float64 // 1/s, largest slope over size
	size   float64 // mV from lowest to highest
}

// Limits of a ventricular build beside the usual one (ours, on recordings of adults, whose QRS
// is wide from 0.12 s: the spread of usual beats there is 0.02 to 0.04 s, that of ventricular
// ones 0.036 to 0.06 s; at other ages in proportion).
const (
	buildBefore  = 0.12 // s of the beat that are looked at
	buildAfter   = 0.14
	spreadOut    = 1.15 // of the usual spread,
	spreadEarly  = 1.08 // and of a shape that comes much too early:
	spreadLeast  = 0.29
	muchTooEarly = 0.70 // of the RR around it
	farSpread    = 1.75 // of the usual spread, and
	farCore      = 1.30 // of its core: spread through muscle for certain
	farCoreLeast = 0.19
	coreFrom     = 0.10    // of the steepest slope: P and T are gentler
	coreLeast    = 0.15    // the steep part of a ventricular beat is spread out itself
	lessSteep    = 0.90    // of the usual steepness
	largerBeat   = 1.40    // of the usual size
	cameEarly    = 0.85    // of the RR around it
	inTime       = 0.07    // share of the RR by which a beat in its place may be off
	steadyRhythm = 0.15    // variation of the usual RR below which a place can be told
	leastUsual   = 1.0 / 3 // share of the commonest shape from which another may be the usual one
	broad        = 0.375   // usual beats from here on are broad themselves, paced or blocked,
	broadToo     = 0.333   // and an early other shape from here on is ventricular
	crowding     = 0.40    // of the RR around it: nearer to a beat of another shape is noise
	tooEarly     = 0.80    // a single beat of a usual shape, and
	spreadAlone  = 1.28    // so much more spread out
	tighter      = 0.85    // with this share of its spread
	allSpread    = 0.31    // spread of usual beats that may all be ventricular
	escapeLasts  = 60.0    // s: for so long a rhythm of a usual rate is rather conducted with a block
	usualSpread  = 1.50    // of the spread of the patient's own beats: that of other usual ones at most
)

// buildOf measures the build of the average of some beats, where a QRS is wide from wide (s).
func buildOf(mv []float64, at, beats []int, rate, wide float64) build {
	before, after := int(buildBefore*rate), int(buildAfter*rate)
	q := averaged(mv, at, beats, before, after, rate).mv
	half := max(1, int(math.Round(0.0055*rate)))
	b := build{size: span(q)}
	slopes := q[:max(0, len(q)-2*half)]
	for i := range slopes {
		slopes[i] = math.Abs(q[i+2*half]-q[i]) * rate / float64(2*half)
		b.steep = max(b.steep, slopes[i])
	}
	b.spread, b.core = spread(slopes, 0)/(rate*wide), spread(slopes, coreFrom*b.steep)/(rate*wide)
	if b.size > 0 {
		b.steep /= b.size
	}
	return b
}

// spread is the standard deviation, in samples, of where the slopes are, weighted by what they
// are above a floor.
func spread(slopes []float64, floor float64) float64 {
	sum, first, second := 0.0, 0.0, 0.0
	for i, s := range slopes {
		d, at := max(0, s-floor), float64(i)
		sum, first, second = sum+d, first+d*at, second+d*at*at
	}
	if sum == 0 {
		return 0
	}
	middle := first / sum
	return math.Sqrt(max(second/sum-middle*middle, 0))
}

// spreads reports whether a beat of build b spread through muscle where u is the usual
// build.
func (b build) spreads(u build, before float64) bool {
	share := spreadOut
	if before < muchTooEarly {
		share = spreadEarly
	}
	return b.spread >= max(spreadLeast, share*u.spread) && b.core >= coreLeast
}

// farBeyond reports whether a beat of build b spread so much more than one of build u that
// its width need not be known: where a recorder clips a wave, its end is not seen.
func (b build) farBeyond(u build) bool {
	return b.spread >= max(spreadLeast, farSpread*u.spread) && b.core >= max(farCoreLeast, farCore*u.core)
}

// typed tells which beats are of ventricular origin by the build of their shape, one for each
// shape, and when they come: spread out for this patient, and less steep, larger or early.
// There may be several usual shapes, as with a bundle branch block that comes and goes. A
// single beat that stands in its place in a steady rhythm is a disturbed usual one. withP says
// which beats have a P. Tight are the beats less spread out than the usual ones, u is how these
// are built. nil for a strip of too few beats.
func (t tracing) typed(builds []build, wide float64, withP func(i int) bool) (ventricular, tight []bool, u build) {
	if len(t.at) < typedFrom {
		return nil, nil, build{}
	}
	if len(t.shapes) == 1 && t.noneEarly() {
		return make([]bool, len(t.at)), make([]bool, len(t.at)), builds[0]
	}
	t.setNearRR()
	usual := t.usual(builds, withP)
	mean, n := 0.0, 0.0
	for g := range builds {
		if !usual[g] {
			continue
		}
		if builds[g].spread > u.spread {
			u = builds[g]
		}
		of := float64(len(t.shapes[g].beats))
		mean, n = mean+of*builds[g].spread, n+of
	}
	u.spread = mean / n
	out, tight := make([]bool, len(t.at)), make([]bool, len(t.at))
	steady := t.steady(usual)
	for g, s := range t.shapes {
		b, before := builds[g], t.before(s.beats)
		early := before < cameEarly
		odd := !usual[g] && (b.spreads(u, before) && (b.steep < lessSteep*u.steep || b.size > largerBeat*u.size || early) ||
			early && u.spread >= broad && b.spread >= broadToo && b.core >= coreLeast)
		for _, i := range s.beats {
			out[i], tight[i] = odd, b.spread < tighter*u.spread
			if !odd && steady && i > 0 && float64(t.at[i]-t.at[i-1]) < tooEarly*t.nearRR[i] { // it may still be odd by itself
				one := buildOf(t.mv, t.at, []int{i}, t.rate, wide)
				out[i] = one.spread >= max(spreadLeast, spreadAlone*u.spread) && one.core >= coreLeast
			}
		}
	}
	for i := range out { // two bursts closer than beats of different shapes can be: noise
		out[i] = out[i] && !t.crowded(i)
	}
	for i := 0; steady && i < len(out); i++ { // one or two in their place are usual beats, disturbed
		if !out[i] {
			continue
		}
		end, placed := i, true
		for ; end < len(out) && out[end]; end++ {
			placed = placed && t.inPlace(end)
		}
		if placed && end-i <= 2 {
			clear(out[i:end])
		}
		i = end
	}
	return out, tight, u
}

// noneEarly reports whether no beat comes sooner than tooEarly of any RR.
func (t tracing) noneEarly() bool {
	shortest, longest := math.MaxInt, 0
	for i := 1; i < len(t.at); i++ {
		rr := t.at[i] - t.at[i-1]
		shortest, longest = min(shortest, rr), max(longest, rr)
	}
	return float64(shortest) >= tooEarly*float64(longest)
}

// usual are the shapes of the patient's own beats: the commonest, or a rarer one that is
// tighter, and those nearly as common that stand in their place as well and have as many P.
func (t tracing) usual(builds []build, withP func(i int) bool) map[int]bool {
	common := func(g int) bool {
		return float64(len(t.shapes[g].beats)) >= leastUsual*float64(len(t.shapes[0].beats))
	}
	p := func(g int) float64 {
		n := 0
		for _, i := range t.shapes[g].beats {
			if withP(i) {
				n++
			}
		}
		return float64(n) / float64(len(t.shapes[g].beats))
	}
	own := 0
	for g := range t.shapes {
		if common(g) && builds[g].spread < tighter*builds[own].spread {
			own = g
		}
	}
	out := map[int]bool{own: true}
	for g, s := range t.shapes {
		if common(g) && builds[g].spread < usualSpread*builds[own].spread && math.Abs(t.before(s.beats)-1) < inTime && math.Abs(t.after(s.beats)-1) < inTime && p(g) > 0.5*p(own)-0.05 {
			out[g] = true
		}
	}
	return out
}

// setNearRR takes the median RR of the sixteen beats around each beat, in samples.
func (t *tracing) setNearRR() {
	t.nearRR = make([]float64, len(t.at))
	var rr [17]float64
	for i := range t.nearRR {
		n := 0
		for k := max(1, i-8); k < min(len(t.at), i+9); k++ {
			rr[n] = float64(t.at[k] - t.at[k-1])
			n++
		}
		t.nearRR[i] = quantileOf(rr[:n], 0.5)
	}
}

// before is the median time before some beats, as a share of the RR around them.
func (t tracing) before(beats []int) float64 {
	var out []float64
	for _, i := range beats {
		if i > 0 {
			out = append(out, float64(t.at[i]-t.at[i-1])/t.nearRR[i])
		}
	}
	return median(out)
}

// after is the same of the time after them.
func (t tracing) after(beats []int) float64 {
	var out []float64
	for _, i := range beats {
		if i+1 < len(t.at) {
			out = append(out, float64(t.at[i+1]-t.at[i])/t.nearRR[i])
		}
	}
	return median(out)
}

// crowded reports whether a beat stands too close to one of another shape.
func (t tracing) crowded(i int) bool {
	close := crowding * t.nearRR[i]
	return i > 0 && t.group[i] != t.group[i-1] && float64(t.at[i]-t.at[i-1]) < close ||
		i+1 < len(t.at) && t.group[i] != t.group[i+1] && float64(t.at[i+1]-t.at[i]) < close
}

// inPlace reports whether a beat comes when a usual one would.
func (t tracing) inPlace(i int) bool {
	if i == 0 || i+1 == len(t.at) {
		return false
	}
	rr := t.nearRR[i]
	return math.Abs(float64(t.at[i]-t.at[i-1])/rr-1) < inTime && math.Abs(float64(t.at[i+1]-t.at[i])/rr-1) < inTime
}

// steady reports whether the usual beats that follow one another do so regularly.
func (t tracing) steady(usual map[int]bool) bool {
	var rr []float64
	for i := 1; i < len(t.at); i++ {
		if usual[t.group[i]] && usual[t.group[i-1]] {
			rr = append(rr, float64(t.at[i]-t.at[i-1]))
		}
	}
	_, cv := meanAndCV(rr)
	return cv < steadyRhythm
}

// setOrigins gives the beats of a long strip the origins that typed found. Where all were
// read as ventricular, as in a tachycardia or with a pacer whose spikes are not seen, only
// those that are tighter than the rest come from elsewhere; but not where the usual QRS is
// spread out too little, or the rhythm is of a usual rate and lasts: then it is rather a
// bundle branch block whose P do not show.
func (r *Reading) setOrigins(ventricular, tight []bool, usual build) {
	beats := r.Marks.Beats
	lasts := len(beats) > 0 && beats[len(beats)-1].QRS.Peak-beats[0].QRS.Peak > escapeLasts
	all := usual.spread >= allSpread && !(lasts && r.Name == "accelerated-idioventricular-rhythm")
	for _, b := range beats {
		all = all && b.Origin == ecg.OriginVentricular
	}
	for i, v := range ventricular {
		b := &beats[i]
		switch {
		case v || all && !tight[i]:
			b.Origin = ecg.OriginVentricular
		case b.Origin == ecg.OriginVentricular:
			b.Origin = ecg.OriginSinus
		}
	}
}
