package measure

import "math"

// nameBlock names rhythms in which some P waves are followed by no QRS.
func (r *Reading) nameBlock() {
	var before, after, pause []float64 // PR around dropped beats, and the RR between
	k, escapes := 0, 0
	for i := 1; i < len(r.Marks.Beats); i++ {
		from, to := r.Marks.Beats[i-1].QRS.Onset, r.Marks.Beats[i].QRS.Onset
		n := 0
		for ; k < len(r.Marks.P) && r.Marks.P[k].Onset < to; k++ {
			if r.Marks.P[k].Onset > from {
				n++
			}
		}
		switch {
		case n < 2:
		case r.Groups[i] != r.Groups[i-1]: // a beat that steps in: what P stands before it, does so by chance
			escapes++
		case !math.IsNaN(r.PRs[i-1]) && !math.IsNaN(r.PRs[i]):
			before, after, pause = append(before, r.PRs[i-1]), append(after, r.PRs[i]), append(pause, r.RR[i-1])
		}
	}
	gaps := len(r.RR)
	step := math.Inf(-1)
	for i := range before {
		step = max(step, before[i]-after[i])
	}
	everySecond := float64(r.Blocked) >= 0.8*float64(gaps) && r.MostBlocked == 1
	switch {
	case everySecond && r.blockedAt() < earlyBlocked, r.EarlyP > 0 && r.EarlyP == r.Blocked && everySecond:
		r.Name = "blocked-atrial-bigeminy"
		r.reason("every second P comes early and is followed by no QRS: %s", r.Name)
	case everySecond:
		r.Name = "two-to-one-av-block"
		r.reason("every second P is followed by no QRS: %s", r.Name)
		r.against("type 1 or type 2 cannot be told while it stays 2:1")
	case escapes >= 2 && escapes > len(before):
		r.Name = "high-grade-av-block"
		r.reason("P followed by no QRS, and beats of another shape that step in: %s", r.Name)
	case r.MostBlocked >= 2:
		r.Name = "high-grade-av-block"
		r.reason("%d P in a row are followed by no QRS: %s", r.MostBlocked, r.Name)
	case len(before) > 0 && step >= wenckebachStep:
		r.Name = "second-degree-av-block-type-1"
		r.reason("PR grows until a QRS fails, by %.0f ms: %s", 1000*step, r.Name)
	case len(before) > 0 && step <= evenStep && math.Abs(median(pause)*r.AtrialRate/60-2) < droppedPP: // P goes on in time
		r.Name = "second-degree-av-block-type-2"
		r.reason("PR stays the same and a QRS fails: %s", r.Name)
	default:
		r.reason("%d P followed by no QRS: type 1 or type 2 cannot be told from this", r.Blocked)
		r.against("a longer strip would settle it")
	}
}

// blockedAt is where the blocked P stand between the P before and after them, the
// median share; 0.5 is midway.
func (r *Reading) blockedAt() float64 {
	var at []float64
	owned := map[float64]bool{}
	for _, b := range r.Marks.Beats {
		owned[b.P.Onset] = b.P.Present()
	}
	for i := 1; i+1 < len(r.Marks.P); i++ {
		a, b, c := r.Marks.P[i-1], r.Marks.P[i], r.Marks.P[i+1]
		if !owned[b.Onset] && owned[a.Onset] && owned[c.Onset] {
			at = append(at, (b.Peak-a.Peak)/(c.Peak-a.Peak))
		}
	}
	return median(at)
}
