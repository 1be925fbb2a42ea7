package synth_test

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/measure"
)

// readBack is a measure as the reader of samples found it, false for one that it does
// not give. Of beats of another shape only the shape counts: from where they came a
// strip cannot tell for certain.
func readBack(what lesson.Measure, s ecg.Strip, r measure.Reading) (float64, bool) {
	switch what {
	case lesson.Rate:
		if len(r.Marks.Beats) == 0 {
			return 0, true
		}
		return r.Rate, true
	case lesson.RRSpread:
		return r.RRCV, true
	case lesson.LongestRR:
		return r.LongestRR, true
	case lesson.ShortestRR:
		return least(r.RR), true
	case lesson.RRRange:
		return (slices.Max(r.RR) - least(r.RR)) / median(r.RR), true
	case lesson.EarlyBeats:
		early, usual := 0, median(r.RR)
		for _, rr := range r.RR {
			if rr < 0.85*usual {
				early++
			}
		}
		return float64(early) / float64(len(r.Marks.Beats)), true
	case lesson.PPerQRS:
		return r.PPerQRS, true
	case lesson.AtrialRate:
		return r.AtrialRate, true
	case lesson.PShapes:
		return float64(r.PShapes), true
	case lesson.EarlyP:
		return earlyP(r.Marks), true
	case lesson.PRTime:
		return r.PR, true
	case lesson.PRSpread:
		return r.PRSpread, true
	case lesson.QRSTime:
		return r.QRS, true
	case lesson.QTTime:
		return r.QT, true
	case lesson.QTcBazett:
		return ownQTc(r.Marks.Beats, func(i int) bool { return r.Groups[i] == 0 }), true
	case lesson.PeakToPeak:
		return r.PeakToPeak, true
	case lesson.Dominant:
		return r.DominantFrequency, true
	case lesson.STLevel:
		return r.Levels.ST, true
	case lesson.THeight:
		return r.Levels.T, true
	case lesson.QRSHeight:
		tallest := 0.0
		for _, l := range []ecg.Lead{ecg.I, ecg.II, ecg.III} {
			if in, err := measure.Read(s, l); err == nil {
				tallest = math.Max(tallest, in.Levels.PeakToPeak)
			}
		}
		return tallest, true
	case lesson.Ectopics, lesson.LongestRun:
		others, longest := otherShapes(r)
		if what == lesson.LongestRun {
			return float64(longest), true
		}
		return float64(others) / float64(len(r.Groups)), true
	case lesson.Shapes:
		shapes := slices.Clone(r.Groups)
		slices.Sort(shapes)
		return float64(len(slices.Compact(shapes))), true
	case lesson.Spikes:
		return float64(len(r.Spikes)) / float64(len(r.Marks.Beats)), true
	case lesson.LoneSpikes, lesson.SpikeWait, lesson.SpikeLate:
		return spikes(what, r.Spikes, r.Marks, s.Seconds()), len(r.Spikes) > 1
	default:
		return 0, false
	}
}

// ownQTc is the median QTc after Bazett of the usual beats that follow a usual beat,
// each at its own RR; NaN without any.
func ownQTc(beats []ecg.Beat, usual func(i int) bool) float64 {
	var out []float64
	for i := 1; i < len(beats); i++ {
		if qt, ok := beats[i].QT(); ok && usual(i) && usual(i-1) {
			out = append(out, measure.Bazett(qt, beats[i].QRS.Onset-beats[i-1].QRS.Onset))
		}
	}
	if len(out) == 0 {
		return math.NaN()
	}
	return median(out)
}

func least(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return slices.Min(x)
}

// otherShapes counts the beats that look different, and the most of them in a row.
func otherShapes(r measure.Reading) (others, longest int) {
	run := 0
	for _, shape := range r.Groups {
		run++
		if shape != 0 {
			others++
		} else {
			run = 0
		}
		longest = max(longest, run)
	}
	return others, longest
}

// earlyP is the median time from a conducted P to the blocked one after it, as a
// share of the time to the next conducted P.
func earlyP(m ecg.Marks) float64 {
	conducted := map[float64]bool{}
	for _, b := range m.Beats {
		if b.P.Present() {
			conducted[b.P.Peak] = true
		}
	}
	var shares []float64
	for i := 1; i+1 < len(m.P); i++ {
		a, b, c := m.P[i-1].Peak, m.P[i].Peak, m.P[i+1].Peak
		if conducted[a] && !conducted[b] && conducted[c] {
			shares = append(shares, (b-a)/(c-a))
		}
	}
	if len(shares) == 0 {
		return math.NaN()
	}
	return median(shares)
}

// spikes measures pacing spikes against what follows and precedes them.
func spikes(what lesson.Measure, at []float64, m ecg.Marks, seconds float64) float64 {
	apart := math.Inf(1)
	for i := 1; i < len(at); i++ {
		apart = math.Min(apart, at[i]-at[i-1])
	}
	lone := 0
	for _, spike := range at {
		if spike < 0.1 || spike > seconds-0.25 {
			continue // its answer may lie beyond the strip
		}
		answered := false
		for _, b := range m.Beats {
			answered = answered || b.QRS.Onset > spike-0.02 && b.QRS.Onset < spike+0.1
		}
		for _, p := range m.P {
			answered = answered || p.Onset > spike-0.02 && p.Onset < spike+0.1
		}
		if !answered {
			lone++
		}
	}
	shortest, longest := math.Inf(1), 0.0
	for i, b := range m.Beats {
		next := math.Inf(1)
		for _, spike := range at {
			if spike > b.QRS.Onset+0.02 { // sooner it is the beat's own
				next = spike - b.QRS.Onset
				break
			}
		}
		shortest = math.Min(shortest, next)
		if i+1 < len(m.Beats) {
			next = math.Min(next, m.Beats[i+1].QRS.Onset-b.QRS.Onset)
			longest = math.Max(longest, next)
		}
	}
	switch what {
	case lesson.LoneSpikes:
		return float64(lone) / float64(len(at))
	case lesson.SpikeWait:
		return shortest / apart
	default:
		return longest / apart
	}
}
