package measure

import (
	"slices"

	"telltrace/synth/ecg"
)

// Where beats come fast and their axis turns, now and then one lies across the lead that
// is read and is all but lost there, while another lead shows it (standards have QRS
// sought over simultaneous leads: Surawicz 2009, from memory).
const (
	hiddenBelow = 0.55 // s, the usual RR of a rhythm this fast
	hiddenGap   = 1.5  // of the usual RR: a beat may be missing in a gap so long
	hiddenApart = 0.6  // of the usual RR: a beat found elsewhere lies so far from its neighbours
	hiddenLeast = 6    // beats
	hiddenAlike = 0.75 // share of beats of one shape up to which the axis is said to turn
)

// addHidden adds the beats that other leads of the strip show in gaps of this one.
func (t *tracing) addHidden(s ecg.Strip, row int) {
	if t.kind != Organised || len(t.beats) < hiddenLeast || len(t.spikes) > 0 ||
		float64(len(t.shapes[0].beats)) > hiddenAlike*float64(len(t.beats)) {
		return
	}
	rr := make([]float64, 0, len(t.beats))
	for i := 1; i < len(t.beats); i++ {
		rr = append(rr, float64(t.beats[i].at-t.beats[i-1].at))
	}
	usual := median(rr)
	if usual > hiddenBelow*t.rate || slices.Max(rr) < hiddenGap*usual {
		return
	}
	var elsewhere []candidate
	for i, mv := range s.MV {
		if i != row && !dead(mv) {
			elsewhere = append(elsewhere, detect(clean(mv).mv, t.rate)...)
		}
	}
	slices.SortFunc(elsewhere, func(a, b candidate) int { return a.at - b.at })
	var found []candidate
	for i := 1; i < len(t.beats); i++ {
		last, next := t.beats[i-1].at, t.beats[i].at
		if float64(next-last) < hiddenGap*usual {
			continue
		}
		for _, c := range elsewhere {
			if float64(c.at-last) >= hiddenApart*usual && float64(next-c.at) >= hiddenApart*usual {
				found = append(found, c)
				last = c.at
			}
		}
	}
	if len(found) == 0 {
		return
	}
	t.beats = append(t.beats, found...)
	slices.SortFunc(t.beats, func(a, b candidate) int { return a.at - b.at })
	t.measureFeatures()
}
