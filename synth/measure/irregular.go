package measure

import "math"

// Limits of atrial fibrillation and flutter.
const (
	// Atrial fibrillation: RR varies by 15-35 %, and successive RR are nearly
	// uncorrelated (Tateno and Glass, Med Biol Eng Comput 2001;39:664; Hennig et al.,
	// arXiv cond-mat/0605295; the range from memory).
	afCV     = 0.10
	afChange = 0.08 // median change from one RR to the next, as a share of the mean
	afBeats  = 6
	afNear   = 0.50 // share of RR near the median: a rhythm with early beats has more
	afSteady = 0.64 // share of RR that repeat one of the two before: a pattern has more

	// Flutter waves: 250-350 a minute in the adult, up to 580 in the newborn
	// (ACC/AHA, from memory; neonatal figures read).
	flutterFrom, flutterTo = 220.0, 600.0
	flutterAlike           = 0.60 // correlation of the waves with those one cycle on
	flutterTrough          = 0.10 // and at most this half a cycle on
	flutterSize            = 0.06 // mV from peak to peak at least
	twoToOneAlike          = 0.82
	manyAlike              = 0.76
	flutterSeen            = 1.0 // s of trace outside QRS at least
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
	return float64(near) < afNear*float64(len(rr)) && steady(rr) < afSteady
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

// flutter looks for waves without rest between the complexes: the trace outside QRS
// is like itself one cycle on, and unlike itself half a cycle on. v is the lead on
// its isoelectric line, the result in waves a minute, 0 for none, with their likeness.
func flutter(v []float64, hidden []bool, rate float64) (bpm, alike float64) {
	step := max(1, int(rate/125))
	fs := rate / float64(step)
	n := len(v) / step
	x, ok := make([]float64, n), make([]bool, n)
	// less the mean over about a third of a second: T waves are slower
	slow := make([]float64, len(v))
	smooth(slow, v, odd(0.28, rate))
	seen := 0
	var kept []float64
	for i := range x {
		x[i] = v[i*step] - slow[i*step]
		if ok[i] = !hidden[i*step]; ok[i] {
			seen++
			kept = append(kept, x[i])
		}
	}
	if float64(seen)/fs < flutterSeen || quantile(kept, 0.95)-quantile(kept, 0.05) < flutterSize {
		return 0, 0
	}
	like := func(lag int) float64 {
		var ab, aa, bb float64
		for i := 0; i+lag < n; i++ {
			if ok[i] && ok[i+lag] {
				ab += x[i] * x[i+lag]
				aa += x[i] * x[i]
				bb += x[i+lag] * x[i+lag]
			}
		}
		if aa == 0 || bb == 0 {
			return 0
		}
		return ab / math.Sqrt(aa*bb)
	}
	best, at := flutterAlike, 0
	low, high := int(60/flutterTo*fs), int(60/flutterFrom*fs)+1
	before := like(low - 1)
	now := like(low)
	for lag := low; lag <= high; lag++ {
		after := like(lag + 1)
		if now > before && now >= after && now > best && like(lag/2) < flutterTrough && like(2*lag) > flutterAlike-0.15 {
			best, at = now, lag
		}
		before, now = now, after
	}
	if at == 0 {
		return 0, 0
	}
	return 60 * fs / float64(at), best
}

// believable reports whether waves that are alike by the given correlation are those
// of flutter. Where RR is regular, P and T that stand evenly look the same: then the
// ratio must be whole, the likeness close, and at 2:1 the rate above the usual and
// not above what flutter of that age gives.
func (r *Reading) believable(alike float64, limits Limits) bool {
	ratio := r.AtrialRate / r.Rate
	whole := math.Round(ratio)
	switch {
	case ratio < 1.5:
		return false
	case r.RRCV > regularCV:
		return true
	case math.Abs(ratio-whole) > 0.05*ratio:
		return false
	case whole == 2:
		return alike > twoToOneAlike && r.Rate > limits.Fast && r.Rate < limits.reentry()
	}
	return alike > manyAlike
}
