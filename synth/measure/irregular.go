package measure

import (
	"math"
)

// Limits of atrial fibrillation and flutter.
const (
	// Atrial fibrillation: RR varies by 15-35 %, and successive RR are nearly
	// uncorrelated (Tateno and Glass, Med Biol Eng Comput 2001;39:664; Hennig et al.,
	// arXiv cond-mat/0605295; the range from memory).
	afCV        = 0.10
	afChange    = 0.08 // median change from one RR to the next, as a share of the mean
	afBeats     = 6
	afNear      = 0.50 // share of RR near the median: a rhythm with early beats has more
	pairsWithin = 0.20 // of RR that come in pairs
	pairsShare  = 0.85
	afSteady    = 0.64 // share of RR that repeat one of the two before: a pattern has more

	// Flutter waves: 250-350 a minute in the adult, up to 580 in the newborn
	// (ACC/AHA, from memory; neonatal figures read).
	flutterFrom, flutterTo = 220.0, 600.0
	flutterAlike           = 0.60 // correlation of the waves with those one cycle on
	flutterTrough          = 0.10 // and at most this half a cycle on
	flutterSize            = 0.06 // mV from peak to peak at least
	twoToOneAlike          = 0.82
	twoToOneTrough         = -0.55
	flutterSeen            = 1.0 // s of trace outside QRS at least
	roughValues            = 2000
	roughMargin            = 0.10 // what a rough correlation may be wrong by
	halfRateMargin         = 0.15 // and at half the rate

	// A saw-tooth has no still part: its lower slopes are this share of its steep ones.
	sawMoves    = 0.17
	sawStep     = 0.012 // s, half of the span that slopes are taken over
	sawAlike    = 0.50  // likeness and trough of such a line
	sawTrough   = -0.40
	fixedCV     = 0.006 // RRCV of a rate that never moves
	steadyCV    = 0.014 // below that of a sinus node
	evenAlike   = 0.87
	evenFastest = 350.0 // a minute: in the adult flutter is no faster (ACC/AHA, from memory)

	// The same in what is left without QRS-T, where nothing but flutter is so even.
	bareAlike  = 0.72
	bareTrough = -0.80
	freeAlike  = 0.58
	freeTrough = -0.45

	stillBelow = 0.05 // movement of a line that nothing fills
	leastMoves = 0.09 // movement of waves that are no saw-tooth
	mixedCV    = 0.05 // RRCV of a saw-tooth whose conduction changes
	mixedRatio = 2.06 // waves for each QRS where conduction changes
)

// irregularly reports whether RR (s) is irregularly irregular: as changeable from one
// to the next as over the whole strip, and not a regular rhythm with a few early
// beats.
func irregularly(rr []float64) bool {
	if len(rr) < afBeats-1 {
		return false
	}
	mean, cv := meanAndCV(rr)
	if cv < afCV {
		return false
	}
	var change []float64
	for i := 1; i < len(rr); i++ {
		change = append(change, math.Abs(rr[i]-rr[i-1])/mean)
	}
	if median(change) < afChange {
		return false
	}
	usual, near := median(rr), 0
	for _, x := range rr {
		if math.Abs(x-usual) < 0.05*usual {
			near++
		}
	}
	return float64(near) < afNear*float64(len(rr)) && steady(rr) < afSteady && !alternates(rr)
}

// alternates reports whether nearly all RR are about as long as the one before the last, as
// where beats come in pairs.
func alternates(rr []float64) bool {
	n := 0
	for i := 2; i < len(rr); i++ {
		if math.Abs(rr[i]-rr[i-2]) < pairsWithin*rr[i-2] {
			n++
		}
	}
	return len(rr) > afBeats && float64(n) > pairsShare*float64(len(rr)-2)
}

// steady is the share of RR that repeat the RR before, or the one before that,
// within 5 %: high in bigeminy and other patterns, low in fibrillation.
func steady(rr []float64) float64 {
	n := 0
	for i := 2; i < len(rr); i++ {
		if math.Abs(rr[i]-rr[i-1]) < 0.05*rr[i] || math.Abs(rr[i]-rr[i-2]) < 0.05*rr[i] {
			n++
		}
	}
	return float64(n) / float64(max(1, len(rr)-2))
}

// A restless line is what flutter() finds between the complexes.
type waves struct {
	bpm    float64 // a minute, 0 for none
	alike  float64 // correlation with the line one cycle on
	trough float64 // and half a cycle on
	moves  float64 // how little of the line is still: its gentle slopes over its steep ones
}

// An open line is the trace outside QRS, its slow part taken away, at a lower rate.
type openLine struct {
	x, sums []float64 // sums: of the squares before each sample
	seen    [][2]int  // stretches that are not hidden: from, to
	all     int       // samples in them
	fs      float64   // Hz
}

// openLine takes every step-th sample of v, a lead on its isoelectric line.
func newOpenLine(v []float64, hidden []bool, step int, rate float64, d *desk) (o openLine) {
	o.fs = rate / float64(step)
	n := len(v) / step
	x, slow, sums := d.row(n), d.row(n), d.row(n+1)
	lift(x, v, 0, step)
	smooth(slow, x, odd(0.28, o.fs)) // T waves are slower
	sum := 0.0
	for i := 0; i < n; {
		from := i
		for ; i < n && hidden[i*step]; i++ {
			x[i], sums[i] = 0, sum
		}
		if i > from {
			continue
		}
		for ; i < n && !hidden[i*step]; i++ {
			v := x[i] - slow[i]
			x[i], sums[i] = v, sum
			sum += v * v
		}
		o.seen = append(o.seen, [2]int{from, i})
		o.all += i - from
	}
	sums[n] = sum
	o.x, o.sums = x, sums
	return o
}

// size is that of what is seen both now and a lag on.
func (o *openLine) size(lag int) float64 {
	var now, later float64
	for _, s := range o.seen {
		if to := s[1] - lag; to > 0 {
			now += o.sums[to] - o.sums[max(0, s[0]-lag)]
		}
		if from := s[0] + lag; from < len(o.x) {
			later += o.sums[min(len(o.x), s[1]+lag)] - o.sums[from]
		}
	}
	return math.Sqrt(now * later)
}

// like is how well the line correlates with itself a lag on.
func (o *openLine) like(lag int) float64 {
	if s := o.size(lag); lag < len(o.x) && s > 0 {
		return dot(o.x[:len(o.x)-lag], o.x[lag:]) / s
	}
	return 0
}

// lags are the shortest and the longest cycle of flutter.
func (o *openLine) lags() (low, high int) {
	return int(60 / flutterTo * o.fs), int(60/flutterFrom*o.fs) + 1
}

// roughly is like at about so many of a long strip's samples.
func (o *openLine) roughly(lag, values int) float64 {
	x, even, odd := o.x, 0.0, 0.0
	every := 1 + len(x)/values
	for i := 0; i+lag+every < len(x); i += 2 * every {
		even += x[i] * x[i+lag]
		odd += x[i+every] * x[i+every+lag]
	}
	if s := o.size(lag); s > 0 {
		return (even + odd) * float64(every) / s
	}
	return 0
}

// repeats reports whether at half the rate any cycle of flutter may be there.
func (o *openLine) repeats() bool {
	low, high := o.lags()
	for lag := low; lag <= high; lag++ {
		if o.roughly(lag, roughValues/4) >= sawAlike-halfRateMargin {
			return true
		}
	}
	return false
}

// flutter looks for waves without rest between the complexes: the trace outside QRS
// is like itself one cycle on, and unlike itself half a cycle on. v is the lead on
// its isoelectric line. One that moves by less than least, a share, is not searched; in a long
// strip a look at half the rate comes first.
func flutter(v []float64, hidden []bool, least, rate float64, d *desk) (found waves) {
	moves := movement(v, hidden, least, rate, d)
	if moves < least {
		return waves{}
	}
	step := max(1, int(rate/125))
	if len(v)/step > 4*roughValues {
		if half := newOpenLine(v, hidden, 2*step, rate, d); !half.repeats() {
			return waves{}
		}
	}
	o := newOpenLine(v, hidden, step, rate, d)
	if float64(o.all)/o.fs < flutterSeen {
		return waves{}
	}
	like, fs := o.like, o.fs
	low, high := o.lags()
	close := make([]bool, high+2) // lags worth a close look: first every second one
	any := false
	for lag := low; lag <= high; lag += 2 {
		if o.roughly(lag, roughValues) >= sawAlike-roughMargin {
			close[lag-1], close[lag], close[lag+1] = true, true, true
			any = true
		}
	}
	if !any {
		return waves{}
	}
	kept := make([]float64, 0, enoughValues+1)
	stride := 1 + o.all/enoughValues
	for _, s := range o.seen {
		for i := s[0]; i < s[1]; i += stride {
			kept = append(kept, o.x[i])
		}
	}
	if quantileOf(kept, 0.95)-quantileOf(kept, 0.05) < flutterSize {
		return waves{}
	}
	// in a saw-tooth the T waves disturb the likeness, not the restlessness
	alike, deepest, again := flutterAlike, flutterTrough, flutterAlike-0.15
	if moves > sawMoves {
		alike, deepest, again = sawAlike, sawTrough, -1
	}
	at := 0
	for lag := low; lag <= high; lag++ {
		if !close[lag] {
			continue
		}
		now := like(lag)
		if now <= max(alike, found.alike) || now <= like(lag-1) || now < like(lag+1) {
			continue
		}
		if trough := like(lag / 2); trough < deepest && (again < 0 || like(2*lag) > again) {
			at = lag
			found = waves{60 * fs / float64(lag), now, trough, moves}
		}
	}
	if at > 0 { // between the samples
		a, b, c := like(at-1), like(at), like(at+1)
		if d := a - 2*b + c; d < 0 {
			found.bpm = 60 * fs / (float64(at) + 0.5*(a-c)/d)
		}
	}
	return found
}

// movement is the lower slopes of the line between complexes as a share of the steep
// ones: low where waves stand on a still line, high in a saw-tooth; 0 where that is below
// least.
func movement(v []float64, hidden []bool, least, rate float64, d *desk) float64 {
	h := max(1, int(sawStep*rate))
	stride := max(2, int(rate/100), 2*len(v)/enoughValues)
	slopes := d.row(len(v)/stride + 1)[:0]
	for i := h; i+h < len(v); i += stride {
		if !hidden[i-h] && !hidden[i+h] {
			slopes = append(slopes, math.Abs(v[i+h]-v[i-h]))
		}
	}
	if len(slopes) == 0 {
		return 0
	}
	low := len(slopes) * 3 / 10
	steep, _ := ranked(append(d.row(len(slopes))[:0], slopes...), len(slopes)*19/20)
	still := 0
	for _, s := range slopes {
		if s < least*steep {
			still++
		}
	}
	if steep == 0 || still > low {
		return 0
	}
	gentle, _ := ranked(slopes, low)
	return gentle / steep
}

// believable reports whether the waves found are those of flutter. Where RR is
// regular, P and T that stand evenly look the same: then the ratio must be whole, the
// likeness close, at 2:1 the rate above the usual and not above what flutter of that
// age gives, and at higher ratios the line never still, as it is beside P and T.
func (r *Reading) believable(w waves, limits Limits) bool {
	ratio := w.bpm / r.Rate
	whole := math.Round(ratio)
	saw := w.moves > sawMoves && w.trough < sawTrough
	switch {
	case ratio < 1.5:
		return false
	case r.RRCV > regularCV || saw && r.RRCV > mixedCV:
		// not every beat can be at 2:1 then
		return ratio > mixedRatio && (w.alike > flutterAlike && w.moves > leastMoves || saw)
	case saw && ratio > 2.5:
		return true
	case math.Abs(ratio-whole) > 0.05*ratio:
		return false
	case whole == 2 && r.Rate > limits.Fast && r.Rate < limits.reentry():
		// a sinus node's rate moves a little, that of flutter at one ratio never; between
		// P and T that stand evenly the line is still
		return saw && w.trough < twoToOneTrough && (r.RRCV < fixedCV || w.alike > twoToOneAlike && r.RRCV < steadyCV) ||
			w.alike > evenAlike && w.bpm < evenFastest
	}
	return false
}

// flutters looks for flutter waves in the lead without QRS-T, where they stand alone
// unless they keep to the QRS, and in the lead as it is, where that moves by as much as
// believable asks for.
func (r *Reading) flutters(m *marker, v, w []float64) (waves, bool) {
	bare := flutter(w, m.hidden, stillBelow, m.rate, m.desk)
	alike, trough := bareAlike, bareTrough
	if r.RRCV > regularCV { // what keeps to its time then does not keep to the QRS
		alike, trough = freeAlike, freeTrough
	}
	if bare.alike > alike && bare.trough < trough && bare.bpm > mixedRatio*r.Rate {
		return bare, true
	}
	if !m.oneShape() {
		return waves{}, false
	}
	least := sawMoves
	switch {
	case r.RRCV > regularCV:
		least = leastMoves
	case r.Rate > r.limits.Fast && r.Rate < r.limits.reentry():
		least = stillBelow
	}
	saw := flutter(v, m.hidden, least, m.rate, m.desk)
	return saw, saw.bpm > 0 && r.believable(saw, r.limits)
}
