package measure

import "math"

// A Kind says what sort of signal a lead carries, before any beat is named.
type Kind string

// Kinds of signal.
const (
	Organised    Kind = "organised"    // complexes that repeat
	Fibrillation Kind = "fibrillation" // no complexes, disorganised waves
	Flat         Kind = "flat"         // no complexes, no more movement than P waves
	Disconnected Kind = "disconnected" // invalid, or no signal at all
	Disturbed    Kind = "disturbed"    // movement as large as the complexes
)

// Amplitudes in mV, peak to peak over the strip.
const (
	// Asystole is below 0.1 mV, fine fibrillation up to 0.2 mV, coarse above
	// (Kerber et al., Circulation 1997;95:1677; the limits from memory).
	flatBelow = 0.1
	fineBelow = 0.2
	// A living lead moves by more than this even in asystole.
	deadBelow = 0.004
)

// A tracing is one lead examined: its beats so far and what sort of signal it is.
type tracing struct {
	cleaned
	desk     *desk
	rate     float64
	spikes   []int     // pacing spikes, taken out of mv
	onlyP    []bump    // P waves that no QRS follows anywhere
	hum      hum       // mains hum, taken out of mv
	quiet    []float64 // every step-th sample, mains removed
	moving   []float64 // that less its slow baseline
	level    []float64 // the baseline, one for every baseStep samples of quiet
	step     int
	beats    []candidate
	nearRR   []float64 // the median RR of the sixteen beats around each, samples; set for typing
	at       []int     // alignment point of each beat
	group    []int     // shape of each beat
	shapes   []shape
	kind     Kind
	features features
}

// features tell an organised rhythm from fibrillation.
type features struct {
	peakToPeak float64 // mV without mains and slow wander
	waves      float64 // the same for each second, the median
	spread     float64 // mean steepness as a share of the steepest: how much of the time the trace moves
	alike      float64 // how well beats repeat in shape, 0 to 1
	between    float64 // movement of the trace between beats, as a share of a beat's size
	rrCV       float64
}

// examine cleans, filters, finds beats and names the kind of signal, on rows of a desk.
func examine(c cleaned, rate float64, d *desk) tracing {
	t := tracing{cleaned: c, desk: d, rate: rate, hum: findHum(c.mv, rate)}
	c.mv = t.hum.without(c.mv, rate)
	t.spikes = spikes(c.mv, rate)
	c.mv = bridged(c.mv, t.spikes, rate)
	t.mv = c.mv
	steep := newSteepness(c.mv, rate)
	defer steep.put()
	n := len(steep.quiet)
	t.step, t.quiet = steep.step, d.row(n)
	smooth(t.quiet, steep.quiet, odd(mains55, steep.rate))
	if c.share < 0.5 || len(c.mv) < int(rate) {
		t.kind = Disconnected
		return t
	}
	if !stirs(c.mv) {
		t.kind = Disconnected
		return t
	}
	t.beats = steep.detect(c.mv, rate)
	t.measureFeatures()
	t.kind = t.name()
	t.setApartP()
	return t
}

// stirs reports whether a lead moves as a living one does.
func stirs(mv []float64) bool {
	low, high := mv[0], mv[0]
	for _, v := range mv {
		low, high = min(low, v), max(high, v)
		if high-low >= deadBelow {
			return true
		}
	}
	return false
}

func (t *tracing) measureFeatures() {
	n, rate := len(t.quiet), t.rate/float64(t.step)
	x, quiet := t.settled(rate), t.quiet
	low, high := math.Inf(1), math.Inf(-1)
	var each []float64
	for i, w := 0, int(rate); i < n; i += w {
		second := x[i:min(i+w, n)]
		l, h := extremes(second)
		low, high = min(low, l), max(high, h)
		if len(second) == w {
			each = append(each, h-l)
		}
	}
	t.features.peakToPeak = high - low
	t.features.waves = median(each)
	// share of movement
	h, stride := max(1, int(halfStep*rate)), max(1, int(rate/100), 2*n/enoughValues)
	sizes := t.desk.row(n/stride + 1)[:0]
	sum := 0.0
	for i := 0; i < n; i += stride {
		size := math.Abs(quiet[min(i+h, n-1)] - quiet[max(i-h, 0)])
		sizes, sum = append(sizes, size), sum+size
	}
	if top := quantileOf(sizes, 0.98); top > 0 {
		t.features.spread = sum / float64(len(sizes)) / top
	}
	at := make([]int, len(t.beats))
	rr := make([]float64, 0, len(at))
	for i, b := range t.beats {
		at[i] = b.at
		if i > 0 {
			rr = append(rr, float64(b.at-t.beats[i-1].at)/t.rate)
		}
	}
	_, t.features.rrCV = meanAndCV(rr)
	t.group, t.shapes = grouped(quiet, at, t.step, rate)
	t.at = at
	t.features.alike = likeness(quiet, at, t.step, rate, t.desk)
	t.features.between = t.unrest(x)
}

// The baseline is slow, and so sought at every baseStep-th sample alone.
const (
	baseStep  = 8
	baseOver  = 1.0 // s, running means that leave it
	baseAgain = 0.6
)

// settled sets level and moving, and returns moving.
func (t *tracing) settled(rate float64) []float64 {
	n := len(t.quiet)
	k := (n + baseStep - 1) / baseStep
	rough := t.desk.row(k)
	t.level, t.moving = t.desk.row(k), t.desk.row(n)
	smoothCoarse(rough, t.quiet, odd(baseOver, rate), baseStep)
	smooth(t.level, rough, odd(baseAgain, rate/baseStep))
	copy(t.moving, t.quiet)
	for k, last := 0, t.level[0]; k < len(t.level); k++ {
		part := t.moving[k*baseStep : min((k+1)*baseStep, n)]
		rise := 0.0
		if k+1 < len(t.level) {
			rise = (t.level[k+1] - last) / baseStep
		}
		lessLine(part, last-rise, rise)
		last += baseStep * rise
	}
	return t.moving
}

// Limits between kinds, set on cudb, mitdb and the quiet part of the alarm records
// (eight-second windows).
const (
	restless     = 0.215 // spread of fibrillation lies above, of most organised rhythms below
	repeats      = 0.993 // likeness of wide or fast organised rhythms lies above
	repeatsBadly = 0.95  // the same where RR is regular and the trace has points
	repeatsWell  = 0.94  // the same where RR is not, in a trace with more points
	sharper      = 0.59  // than fibrillation has,
	unevenRR     = 0.50  // and beats are not torn apart
	pointed      = 0.50  // leakage of a trace with points lies above, of a wave below
	regularRR    = 0.08  // RRCV of a regular rhythm
	shakenAlike  = 0.93  // likeness of a disturbed lead lies below
	shaken       = 0.26  // movement between beats of a disturbed lead lies above
	leaky        = 0.69  // leakage of noise lies above, of fibrillation below
	shapeless    = 0.75  // likeness below which beats are not beats
)

// unrest is the range of x in the later half of each gap between beats, where
// little but a P should be, as a share of the beats' size; medians of both.
func (t *tracing) unrest(x []float64) float64 {
	gaps, sizes := make([]float64, 0, len(t.beats)), make([]float64, 0, len(t.beats))
	for i, b := range t.beats {
		sizes = append(sizes, b.size)
		if i > 0 {
			from, to := t.beats[i-1].at/t.step, b.at/t.step
			gaps = append(gaps, span(x[(from+to)/2:to-(to-from)/6]))
		}
	}
	if len(gaps) == 0 {
		return 0
	}
	return median(gaps) / median(sizes)
}

func (t *tracing) name() Kind {
	f := t.features
	repeating := func(leakage float64) bool {
		return f.alike > repeats || f.alike > repeatsBadly && f.rrCV < regularRR && leakage > pointed ||
			f.alike > repeatsWell && leakage > sharper && f.rrCV < unevenRR
	}
	if f.peakToPeak < flatBelow && (f.alike < repeatsBadly || f.rrCV > regularRR || len(t.beats) < 4) {
		return Flat
	}
	if f.spread > restless {
		switch leakage := t.leakage(); {
		case repeating(leakage):
		case leakage > leaky:
			return Disturbed
		default:
			return Fibrillation
		}
	}
	switch {
	case len(t.beats) >= 4 && f.alike < shapeless,
		f.alike < shakenAlike && f.between > shaken-(shakenAlike-f.alike) && (len(t.shapes) >= 4 && 10*len(t.shapes) >= 3*len(t.beats) || len(t.shapes) >= mostShapes):
		return Disturbed
	}
	return Organised
}

// dominant is the frequency in Hz, from 0.5 to 12, at which the lead moves most; leakage is 0
// where it moves as a sine does, about 0.7 for complexes.
func (t *tracing) dominant() float64 { return dominant(t.moving, t.rate/float64(t.step)) }
func (t *tracing) leakage() float64  { return leakage(t.moving) }

// dominant is the frequency in Hz, from 0.5 to 12, at which a signal has most
// power, by a Hann-windowed Fourier sum of at most its last 10 s taken at 50 Hz.
func dominant(x []float64, rate float64) float64 {
	step := max(1, int(rate/50))
	fs := rate / float64(step)
	m := min(len(x)/step, int(10*fs))
	if m < 8 {
		return math.NaN()
	}
	var room [1000]float64 // 10 s at less than 100 Hz
	y := room[:m]
	from := len(x) - m*step
	for i := range y {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(m))
		y[i] = w * x[from+i*step]
	}
	df := max(0.1, fs/float64(m)/2)
	top := min(12, fs/2)
	power, at := strongest(y, fs, 0.5, 2*df, top) // a peak is four steps wide
	for _, f := range [2]float64{at - df, at + df} {
		if p, _ := strongest(y, fs, f, 2*df, f); p > power && f >= 0.5 && f <= top {
			power, at = p, f
		}
	}
	return at
}

// strongest is the most power of y, sampled at fs, among the frequencies from, from and
// step … to (Hz), and where it is; NaN for none.
func strongest(y []float64, fs, from, step, to float64) (power, at float64) {
	at = math.NaN()
	for f := from; f <= to; f += 4 * step { // Goertzel's recurrence, four frequencies side by side
		var c [4]float64
		for k := range c {
			c[k] = 2 * math.Cos(2*math.Pi*(f+float64(k)*step)/fs)
		}
		c0, c1, c2, c3 := c[0], c[1], c[2], c[3] // kept apart, they stay in the processor
		var a0, a1, a2, a3, b0, b1, b2, b3 float64
		for _, v := range y {
			a0, b0 = v+c0*a0-b0, a0
			a1, b1 = v+c1*a1-b1, a1
			a2, b2 = v+c2*a2-b2, a2
			a3, b3 = v+c3*a3-b3, a3
		}
		for k, ab := range [4][2]float64{{a0, b0}, {a1, b1}, {a2, b2}, {a3, b3}} {
			a, b := ab[0], ab[1]
			if p := a*a + b*b - c[k]*a*b; p > power && f+float64(k)*step <= to {
				power, at = p, f+float64(k)*step
			}
		}
	}
	return power, at
}

// leakage is that of the filter of Kuo and Dillman (Comput Cardiol 1978:347): what
// is left of the signal after half its mean period is added to it.
func leakage(x []float64) float64 {
	sum, diff := 0.0, 0.0
	stride := 1 + len(x)/(4*enoughValues)
	for i := 1; i < len(x); i += stride {
		sum += math.Abs(x[i])
		diff += math.Abs(x[i] - x[i-1])
	}
	if diff == 0 {
		return 1
	}
	half := int(math.Pi*sum/diff + 0.5)
	left, all := 0.0, 0.0
	for i := half; i < len(x); i += stride {
		left += math.Abs(x[i] + x[i-half])
		all += math.Abs(x[i]) + math.Abs(x[i-half])
	}
	if all == 0 {
		return 1
	}
	return left / all
}

// usableRate reports whether a sampling rate can be worked with.
func usableRate(rate float64) bool { return rate >= 50 && rate <= 20000 }
