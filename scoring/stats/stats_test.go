package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/scoring/stats"
)

func TestWilson(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		k, n            int
		z               float64
		low, high, unit float64 // unit: half a step of the last digit printed
		source          string
	}{
		{81, 263, stats.Z95, 0.2553, 0.3662, 5e-5, "Newcombe 1998, table I, method 3 (from memory)"},
		{15, 148, stats.Z95, 0.0624, 0.1605, 5e-5, "Newcombe 1998, table I, method 3 (from memory)"},
		{0, 20, stats.Z95, 0.0000, 0.1611, 5e-5, "Newcombe 1998, table I, method 3 (from memory)"},
		{1, 29, stats.Z95, 0.0061, 0.1718, 5e-5, "Newcombe 1998, table I, method 3 (from memory)"},
		{10, 100, 1.96, 0.05523, 0.17437, 5e-6, "worked example, codegolf.stackexchange.com/q/105389"},
		{25, 100, 1.96, 0.17545, 0.34305, 5e-6, "worked example, codegolf.stackexchange.com/q/105389"},
		{0, 1, 1.96, 0, 0.79346, 5e-6, "worked example, codegolf.stackexchange.com/q/105389"},
	} {
		low, high := stats.Count{K: tt.k, N: tt.n}.Wilson(tt.z)
		assert.InDelta(t, tt.low, low, tt.unit, "%d/%d: %s", tt.k, tt.n, tt.source)
		assert.InDelta(t, tt.high, high, tt.unit, "%d/%d: %s", tt.k, tt.n, tt.source)
	}
	low, high := stats.Count{}.Wilson(stats.Z95)
	assert.Equal(t, [2]float64{0, 1}, [2]float64{low, high}, "nothing counted says nothing")
}

// A symmetric interval: the misses' interval is the mirror of the hits'.
func TestWilsonMirrors(t *testing.T) {
	t.Parallel()
	for n := 1; n < 60; n++ {
		for k := range n + 1 {
			low, high := stats.Count{K: k, N: n}.Wilson(stats.Z95)
			mirrorLow, mirrorHigh := stats.Count{K: n - k, N: n}.Wilson(stats.Z95)
			assert.InDelta(t, low, 1-mirrorHigh, 1e-12)
			assert.InDelta(t, high, 1-mirrorLow, 1e-12)
			p := float64(k) / float64(n)
			assert.LessOrEqual(t, low, p+1e-12)
			assert.GreaterOrEqual(t, high, p-1e-12)
		}
	}
}

func TestDetection(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		hit, falseAlarm float64
		d, c, beta      float64
		unit            float64
		source          string
	}{
		{0.80, 0.10, 2.123, 0.220, 1.595, 5e-4, "lecture note (slideplayer 6070164), counts 40/50 and 5/50; recomputed"},
		{0.70, 0.10, 1.806, 0.379, 1.981, 5e-4, "same note prints 1.8 and 1.98; recomputed"},
		{0.70, 0.40, 0.778, -0.136, 0.900, 5e-4, "manual of STAT, dprime, 1985, prints 0.78 and 0.90; recomputed"},
		{0.85, 0.05, 2.681, 0.304, 2.261, 5e-4, "lecture note; recomputed"},
	} {
		assert.InDelta(t, tt.d, stats.DPrime(tt.hit, tt.falseAlarm), tt.unit, "d': %s", tt.source)
		assert.InDelta(t, tt.c, stats.Criterion(tt.hit, tt.falseAlarm), tt.unit, "c: %s", tt.source)
		assert.InDelta(t, tt.beta, stats.Beta(tt.hit, tt.falseAlarm), tt.unit, "beta: %s", tt.source)
	}
	for _, tt := range []struct {
		counts stats.Detection
		d, c   float64
	}{ // Hautus 1995, log-linear rule; recomputed by hand
		{stats.Detection{Signal: stats.Count{K: 40, N: 50}, Noise: stats.Count{K: 5, N: 50}}, 2.059, 0.209},
		{stats.Detection{Signal: stats.Count{K: 20, N: 20}, Noise: stats.Count{K: 0, N: 20}}, 3.9615, 0},
	} {
		assert.InDelta(t, tt.d, tt.counts.DPrime(), 5e-4)
		assert.InDelta(t, tt.c, tt.counts.C(), 5e-4)
	}
}

// The pass rule's arithmetic, by the formula of the binomial distribution.
func TestAtMost(t *testing.T) {
	t.Parallel()
	q := 0.05
	none := math.Pow(1-q, 53)
	assert.InDelta(t, none, stats.AtMost(0, 53, q), 1e-12)
	assert.InDelta(t, none+53*q*math.Pow(1-q, 52), stats.AtMost(1, 53, q), 1e-12)
	assert.InDelta(t, math.Pow(1-q, 35), stats.AtMost(0, 35, q), 1e-12)
	assert.Equal(t, 1.0, stats.AtMost(0, 35, 0))
}
