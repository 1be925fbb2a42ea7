package synth_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
)

// A crowd is what a thousand people in sinus rhythm show: the medians over ten seconds of
// each, in ms and beats/min, sorted.
type crowd struct{ rate, pr, qrs, qtc []float64 }

const people = 1000

// gather plays the truth of a crowd; the samples are played too, as the truth comes with
// them.
func gather(t *testing.T, age ecg.Age) (c crowd) {
	t.Helper()
	dst := buffer(1, 10*100)
	for seed := range uint64(people) {
		id := ecg.Synthetic("sinus-rhythm", age, seed+1)
		id.Leads, id.Rate = []ecg.Lead{ecg.II}, 100
		p, err := synth.Open(id)
		require.NoError(t, err)
		_, err = p.Leads().Fill(dst)
		require.NoError(t, err)
		var rr, pr, qrs, qtc []float64
		beats := p.Marks(0, 10).Beats
		for i, b := range beats {
			if v, ok := b.PR(); ok {
				pr = append(pr, 1000*v)
			}
			if v, ok := b.QRSWidth(); ok {
				qrs = append(qrs, 1000*v)
			}
			if i > 0 {
				rr = append(rr, b.QRS.Onset-beats[i-1].QRS.Onset)
				if v, ok := b.QT(); ok {
					qtc = append(qtc, 1000*measure.Bazett(v, rr[i-1]))
				}
			}
		}
		c.rate, c.pr = append(c.rate, 60/mean(rr)), append(c.pr, median(pr))
		c.qrs, c.qtc = append(c.qrs, median(qrs)), append(c.qtc, median(qtc))
	}
	for _, x := range [][]float64{c.rate, c.pr, c.qrs, c.qtc} {
		slices.Sort(x)
	}
	return c
}

// A thousand people of each age band are spread as published; sources in synth/norms.
// The medians are near the published ones, and the 2nd and 98th percentiles lie most of
// the way out to the published ones but not beyond: who lies outside would be abnormal by
// one table or another, and a strip is marked by them. Rates keep a tenth from the limits
// that mark them, so they lie closer together.
func TestPopulation(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		c := gather(t, b.Middle)
		for _, row := range []struct {
			name   string
			got    []float64
			norm   norms.Norm
			unit   float64
			within float64 // of the published median, and beyond the published percentiles
			out    float64 // least share of the way from the median to them
		}{
			{"rate /min", c.rate, norms.HeartRate(b.Middle), 1, 4, 0.25},
			{"PR ms", c.pr, norms.PR(b.Middle), 1000, 5, 0.75},
			{"QRS ms", c.qrs, norms.QRS(b.Middle), 1000, 3, 0.75},
			{"QTc ms", c.qtc, norms.QTcBazett(b.Middle), 1000, 5, 0.60},
		} {
			low, mid, high := row.got[people*2/100], median(row.got), row.got[people*98/100]
			aim := row.norm.Aim
			wantLow, want, wantHigh := aim.Low*row.unit, aim.Median*row.unit, aim.High*row.unit
			t.Logf("%s, %s: %.0f (%.0f-%.0f), published %.0f (%.0f-%.0f)", b.Name, row.name, mid, low, high, want, wantLow, wantHigh)
			assert.InDelta(t, want, mid, row.within, "%s: median %s (%s)", b.Name, row.name, aim.Source)
			assert.LessOrEqual(t, low, mid-row.out*(want-wantLow), "%s: 2nd percentile of %s (%s)", b.Name, row.name, aim.Source)
			assert.GreaterOrEqual(t, high, mid+row.out*(wantHigh-want), "%s: 98th percentile of %s (%s)", b.Name, row.name, aim.Source)
			assert.GreaterOrEqual(t, low, wantLow-row.within, "%s: 2nd percentile of %s (%s)", b.Name, row.name, aim.Source)
			assert.LessOrEqual(t, high, wantHigh+row.within, "%s: 98th percentile of %s (%s)", b.Name, row.name, aim.Source)
		}
	}
}
