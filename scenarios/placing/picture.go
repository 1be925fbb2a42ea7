package placing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"telltrace/synth/ecg"
)

// A Complex is what one lead shows of the mean beat, mV from the level before QRS.
type Complex struct {
	P, T float64 // of largest size, with its sign
	R, S float64 // upwards, downwards; not below 0
	Flat bool    // nothing that counts: less than 0.05 mV from peak to peak
}

// QRS is the height from peak to peak, mV.
func (c Complex) QRS() float64 { return c.R + c.S }

// Up reports whether the QRS points up on the whole.
func (c Complex) Up() bool { return c.R >= c.S }

// bare is the height below which a lead is a straight line, mV.
const bare = 0.05

// Complexes reads each lead of a strip at its marks: the median over the beats.
func Complexes(s ecg.Strip, m ecg.Marks) map[ecg.Lead]Complex {
	out := map[ecg.Lead]Complex{}
	for row, lead := range s.Leads {
		var p, t, r, q []float64
		for _, b := range m.Beats {
			level := at(s, row, b.QRS.Onset)
			if b.QRS.Offset >= s.Seconds() || math.IsNaN(level) {
				continue
			}
			low, high := reach(s, row, b.QRS)
			r, q = append(r, max(high-level, 0)), append(q, max(level-low, 0))
			if b.P.Present() {
				p = append(p, at(s, row, b.P.Peak)-level)
			}
			if b.T.Present() && b.T.Offset < s.Seconds() {
				t = append(t, at(s, row, b.T.Peak)-level)
			}
		}
		c := Complex{P: median(p), T: median(t), R: median(r), S: median(q)}
		c.Flat = c.QRS() < bare
		out[lead] = c
	}
	return out
}

func at(s ecg.Strip, row int, t float64) float64 {
	i := int(t * s.Rate)
	if i < 0 || i >= len(s.MV[row]) {
		return math.NaN()
	}
	return s.MV[row][i]
}

func reach(s ecg.Strip, row int, of ecg.Span) (low, high float64) {
	part := s.MV[row][max(int(of.Onset*s.Rate), 0):min(int(of.Offset*s.Rate)+1, len(s.MV[row]))]
	return slices.Min(part), slices.Max(part)
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return stat.Quantile(0.5, stat.Empirical, x, nil)
}

// Describe says each lead in words, for who cannot see the trace.
func Describe(s ecg.Strip, m ecg.Marks) []string {
	var lines []string
	shapes := Complexes(s, m)
	for row, lead := range s.Leads {
		c := shapes[lead]
		if c.Flat {
			lines = append(lines, fmt.Sprintf("%s: a straight line%s.", lead, noise(s, row, m)))
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: P %s, QRS %.1f mV up and %.1f mV down, T %s%s.", lead, way(c.P), c.R, c.S, way(c.T), noise(s, row, m)))
	}
	return lines
}

func way(mv float64) string {
	switch {
	case math.Abs(mv) < 0.03:
		return "flat"
	case mv > 0:
		return fmt.Sprintf("up %.1f mV", mv)
	}
	return fmt.Sprintf("down %.1f mV", -mv)
}

// noise says what lies between the beats: an even trembling band or sudden jumps.
func noise(s ecg.Strip, row int, m ecg.Marks) string {
	band, jump := between(s, row, m)
	switch {
	case band > trembling:
		return "; with an even trembling band"
	case jump > jumping:
		return "; with sudden jumps and crackle"
	}
	return ""
}

// What is said of a lead, mV: trembling is how far it strays from its mean over a period of
// the mains even in its quiet stretches, jumping how far it moves within two samples.
const (
	trembling = 0.035
	jumping   = 0.10
)

// between measures a lead between the complexes, mV: the stray of its quiet stretches, a
// quarter of a second each, as a root mean square, and its largest jump.
func between(s ecg.Strip, row int, m ecg.Marks) (band, jump float64) {
	const clear = 0.04 // s, from a complex
	period, stretch := int(s.Rate/50), int(s.Rate/4)
	x := s.MV[row]
	from, to := period, len(x)-period
	if k := len(m.Beats); k > 0 { // a complex that is cut off at an end has no marks
		from, to = max(from, int(m.Beats[0].QRS.Onset*s.Rate)), min(to, int(m.Beats[k-1].QRS.Offset*s.Rate))
	}
	sum, n := 0.0, 0
	var strays []float64
	for i := from; i < to; i++ {
		t := float64(i) / s.Rate
		if i%stretch == 0 {
			if n > stretch/4 {
				strays = append(strays, math.Sqrt(sum/float64(n)))
			}
			sum, n = 0, 0
		}
		if slices.ContainsFunc(m.Beats, func(b ecg.Beat) bool { return t > b.QRS.Onset-clear && t < b.QRS.Offset+clear }) {
			continue
		}
		mean := 0.0
		for _, v := range x[i-period/2 : i+period/2] {
			mean += v / float64(period)
		}
		sum, n = sum+(x[i]-mean)*(x[i]-mean), n+1
		jump = max(jump, math.Abs(x[i]-x[i-2]))
	}
	if len(strays) == 0 {
		return 0, jump
	}
	slices.Sort(strays)
	return strays[len(strays)/5], jump
}

// A Turn is what a lead becomes when clips change places: another lead, its sign turned or
// not, or nothing.
type Turn struct {
	Lead, From ecg.Lead // From is "" for a straight line
	Sign       float64
}

// Exchanges are what the limb leads become for each pair that changes places, RL standing
// at the potential of LL: RA-LA as PMC6932211 and Sensors 2019;19:2920 print it (read), LA-LL
// as a printed figure, the flat leads of RA-RL and LA-RL as Batchvarov 2007, Europace 9:1081
// (from memory), the others by the leads' formulas (derived).
var Exchanges = map[string][]Turn{
	"RA-LA": {{ecg.I, ecg.I, -1}, {ecg.II, ecg.III, 1}, {ecg.III, ecg.II, 1}},
	"RA-LL": {{ecg.I, ecg.III, -1}, {ecg.II, ecg.II, -1}, {ecg.III, ecg.I, -1}},
	"LA-LL": {{ecg.I, ecg.II, 1}, {ecg.II, ecg.I, 1}, {ecg.III, ecg.III, -1}},
	"RA-RL": {{ecg.I, ecg.III, -1}, {ecg.II, "", 0}, {ecg.III, ecg.III, 1}},
	"LA-RL": {{ecg.I, ecg.II, 1}, {ecg.II, ecg.II, 1}, {ecg.III, "", 0}},
	"LL-RL": {{ecg.I, ecg.I, 1}, {ecg.II, ecg.II, 1}, {ecg.III, ecg.III, 1}},
}

// Pairs lists the pairs of Exchanges, the commonest first.
var Pairs = []string{"RA-LA", "RA-LL", "LA-LL", "RA-RL", "LA-RL", "LL-RL"}

// Becomes says in words what the leads show when a pair has changed places.
func Becomes(pair string) string {
	var parts []string
	for _, t := range Exchanges[pair] {
		switch {
		case t.From == "":
			parts = append(parts, fmt.Sprintf("%s is a straight line", t.Lead))
		case t.From == t.Lead && t.Sign > 0:
			parts = append(parts, fmt.Sprintf("%s is as before", t.Lead))
		case t.From == t.Lead:
			parts = append(parts, fmt.Sprintf("%s is upside down", t.Lead))
		case t.Sign > 0:
			parts = append(parts, fmt.Sprintf("%s is what %s was", t.Lead, t.From))
		default:
			parts = append(parts, fmt.Sprintf("%s is what %s was, upside down", t.Lead, t.From))
		}
	}
	return strings.Join(parts, "; ")
}
