package record

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

func write(t testing.TB, dir, name, text string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	return path
}

// sample is a record of 2.7 s at 1000 Hz with two leads, an arterial pressure, an
// invalid stretch, and labels.
func sample() ecg.Record {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 2700
	s := ecg.Strip{Rate: 1000, Leads: []ecg.Lead{"II", "MLII"}, MV: [][]float64{make([]float64, n), make([]float64, n)},
		Witnesses: []ecg.Witness{{Kind: ecg.ArterialPressure, Unit: "mmHg", Values: make([]float64, n)}}}
	for k := range n {
		s.MV[0][k] = math.Sin(float64(k)/50) + 0.1*rng.NormFloat64()
		s.MV[1][k] = 12 * rng.Float64()
		s.Witnesses[0].Values[k] = 80 + 40*rng.Float64()
	}
	s.MV[0][17], s.MV[0][18] = math.NaN(), math.NaN()
	return ecg.Record{Name: "r", Strip: s, Comments: []string{"synthetic"}, Annotations: []ecg.Annotation{
		{Symbol: "+", Aux: "(N"}, {Sample: 100, Symbol: "N"}, {Sample: 1400, Symbol: "V", Aux: "odd", Number: 3},
		{Sample: 2600, Symbol: "~", Subtype: -1, Channel: 1, Number: 3}}}
}

// assertWithin holds two rows together to a tolerance, with NaN equal to NaN.
func assertWithin(t *testing.T, want, got []float64, tolerance float64, msg string, args ...any) {
	t.Helper()
	require.Len(t, got, len(want))
	for k := range want {
		if math.IsNaN(want[k]) != math.IsNaN(got[k]) || math.Abs(want[k]-got[k]) > tolerance {
			assert.Fail(t, "rows differ", append([]any{"sample %d: want %g, got %g: " + msg, k, want[k], got[k]}, args...)...)
			return
		}
	}
}
