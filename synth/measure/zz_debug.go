package measure

import (
	"fmt"
	"math"
)

// Debug prints what detect saw.
func Debug(mv []float64, rate float64) {
	c := clean(mv)
	slopes, energy := steepness(bridged(c.mv, spikes(c.mv, rate), rate), rate)
	lv := levels(energy, rate)
	all := candidates(c.mv, slopes, energy, rate)
	beats := pick(c.mv, all, lv, rate)
	for i, k := range all {
		m := " "
		for _, b := range beats {
			if b.at == k.at {
				m = "*"
			}
		}
		sh := k.strength / lv[min(k.at/max(1, int(block*rate)), len(lv)-1)]
		if sh < 0.1 {
			continue
		}
		fmt.Printf("%s %.2f share %.2f", m, float64(k.at)/rate, sh)
		if i > 0 {
			p := all[i-1]
			fmt.Printf(" after %.2f slope %.2f bend %.2f size %.2f strength %.2f", float64(k.at-p.at)/rate, k.slope/p.slope, k.bend/p.bend, k.size/p.size, k.strength/p.strength)
		}
		fmt.Printf("  abs slope %.2f bend %.2f size %.2f\n", k.slope, k.bend, k.size)
	}
	_ = math.Pi
}

// Shake prints what shaken sees.
func Shake(mv []float64, rate float64) {
	t := examine(clean(mv), rate)
	fmt.Printf("%-12s dom %.1f leak %.2f spread %.2f alike %.3f ptp %.2f between %.2f shapes %d rrcv %.2f jerks %d beats %d\n", t.kind, t.features.dominant, t.features.leakage, t.features.spread, t.features.alike, t.features.peakToPeak, t.features.between, len(t.shapes), t.features.rrCV, t.jerks(), len(t.beats))
}
