package agreement_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/agreement"
	"telltrace/synth/ecg"
)

func at(class agreement.Class, times ...float64) []agreement.Beat {
	var out []agreement.Beat
	for _, t := range times {
		out = append(out, agreement.Beat{At: t, Class: class})
	}
	return out
}

// Worked by hand with the rules of EC57 (from memory): 150 ms, each beat once, the nearer
// of two.
func TestMatching(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name       string
		ref, found []float64
		tp, fn, fp int
	}{
		{"all found", []float64{1, 2, 3}, []float64{1.1, 1.9, 3}, 3, 0, 0},
		{"at 150 ms it still counts", []float64{1}, []float64{1.15}, 1, 0, 0},
		{"beyond it does not", []float64{1}, []float64{1.151}, 0, 1, 1},
		{"one missed", []float64{1, 2, 3}, []float64{1, 3}, 2, 1, 0},
		{"one too many", []float64{1, 2}, []float64{1, 1.4, 2}, 2, 0, 1},
		{"two near one reference", []float64{1}, []float64{0.9, 1.01}, 1, 0, 1},
		{"one between two references", []float64{1, 1.2}, []float64{1.12}, 1, 1, 0},
		{"two and two, crossed", []float64{1, 1.2}, []float64{1.08, 1.25}, 2, 0, 0},
		{"nothing found", []float64{1, 2}, nil, 0, 2, 0},
		{"nothing there", nil, []float64{1, 2}, 0, 0, 2},
	} {
		f := agreement.Compare(at(agreement.N, tt.ref...), at(agreement.N, tt.found...), nil, 0, 10).QRS()
		assert.Equal(t, [3]int{tt.tp, tt.fn, tt.fp}, [3]int{f.TP, f.FN, f.FP}, tt.name)
	}
}

// Beats are paired before anything is left out, and an end hides what lies beyond it.
func TestLeftOut(t *testing.T) {
	t.Parallel()
	out := []agreement.Span{{From: 2, To: 3}}
	f := agreement.Compare(at(agreement.N, 1.95, 2.5, 5), at(agreement.N, 2.05, 2.6, 5), out, 0, 10).QRS()
	assert.Equal(t, [3]int{1, 0, 0}, [3]int{f.TP, f.FN, f.FP}, "one of a pair lies inside: neither a miss nor too many")
	f = agreement.Compare(at(agreement.N, 0.1, 5, 9.9), at(agreement.N, 5, 9.7), nil, 0, 10).QRS()
	assert.Equal(t, [3]int{1, 0, 1}, [3]int{f.TP, f.FN, f.FP}, "the partners of the first and the last may lie outside")
}

// The figures of ventricular beats, counted by hand.
func TestVEB(t *testing.T) {
	t.Parallel()
	ref := []agreement.Beat{{1, agreement.N}, {2, agreement.V}, {3, agreement.V}, {4, agreement.F}, {5, agreement.Q}, {6, agreement.N}, {7, agreement.S}, {8, agreement.V}}
	got := []agreement.Beat{{1, agreement.V}, {2, agreement.V}, {3, agreement.N}, {4, agreement.V}, {5, agreement.V}, {6, agreement.N}, {7, agreement.V}, {9, agreement.V}}
	f := agreement.Compare(ref, got, nil, 0, 20).VEB()
	assert.Equal(t, 1, f.TP)
	assert.Equal(t, 2, f.FN, "one called normal, one missed")
	assert.Equal(t, 3, f.FP, "a normal one, a supraventricular one, one that is not there; fusion and unclassed do not count")
	assert.InDelta(t, 1.0/3, f.Sensitivity, 1e-12)
	assert.InDelta(t, 0.25, f.Predictive, 1e-12)
	assert.InDelta(t, 3.0/4, f.FalseRate, 1e-12, "of three that are none, and one that is not there")
}

// Fibrillation is left out on both sides, to the end where it does not stop.
func TestFibrillationIsLeftOut(t *testing.T) {
	t.Parallel()
	list := []ecg.Annotation{{Sample: 100, Symbol: "N"}, {Sample: 150, Symbol: "["}, {Sample: 200, Symbol: "!"}, {Sample: 300, Symbol: "]"},
		{Sample: 400, Symbol: "V"}, {Sample: 450, Symbol: "+"}, {Sample: 500, Symbol: "["}}
	beats, out := agreement.Reference(list, 100, 9)
	assert.Equal(t, []agreement.Beat{{1, agreement.N}, {4, agreement.V}}, beats)
	assert.Equal(t, []agreement.Span{{1.5, 3}, {5, 9}}, out)
	f := agreement.Compare(beats, at(agreement.N, 1, 2, 2.5, 4, 6, 7), out, 0, 10).QRS()
	assert.Equal(t, [3]int{2, 0, 0}, [3]int{f.TP, f.FN, f.FP})
}

// As many are paired as can be paired at all in nearly every case: the count by the
// longest chain of pairs (dynamic programming) is never smaller, and on beats that lie
// farther apart than two windows the two are the same.
func TestAgainstTheLongestChain(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 1))
	for range 300 {
		var ref, got []float64
		for x := 0.0; x < 60; x += 0.31 + rng.Float64() {
			if rng.IntN(10) > 0 {
				ref = append(ref, x)
			}
			if rng.IntN(10) > 0 {
				got = append(got, x+0.18*(rng.Float64()-0.5))
			}
		}
		f := agreement.Compare(at(agreement.N, ref...), at(agreement.N, got...), nil, -1, 1e9).QRS()
		assert.Equal(t, longest(ref, got), f.TP)
		assert.Equal(t, len(ref), f.TP+f.FN)
		assert.Equal(t, len(got), f.TP+f.FP)
	}
}

// longest is the most pairs in order within the window.
func longest(a, b []float64) int {
	best := make([][]int, len(a)+1)
	for i := range best {
		best[i] = make([]int, len(b)+1)
		for j := range best[i] {
			if i == 0 || j == 0 {
				continue
			}
			best[i][j] = max(best[i-1][j], best[i][j-1])
			if math.Abs(a[i-1]-b[j-1]) <= agreement.Window {
				best[i][j] = max(best[i][j], best[i-1][j-1]+1)
			}
		}
	}
	return best[len(a)][len(b)]
}

func TestAverage(t *testing.T) {
	t.Parallel()
	se, pp := agreement.Average([]agreement.Figure{{Sensitivity: 1, Predictive: 0.5}, {Sensitivity: 0.5, Predictive: math.NaN()}})
	assert.InDelta(t, 0.75, se, 1e-12, "each record weighs the same")
	assert.InDelta(t, 0.5, pp, 1e-12, "where it is not defined it is left out")
}
