package synth_test

import (
	"flag"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// update writes the golden files anew: go test ./synth -update.
var update = flag.Bool("update", false, "write the golden files anew")

// render plays an identity into memory.
func render(t testing.TB, id ecg.Identity, seconds float64) (ecg.Strip, ecg.Marks) {
	t.Helper()
	s, m, err := synth.Render(id, seconds)
	require.NoError(t, err, id.String())
	return s, m
}

// ages are the middles of the age bands at which a rhythm is shown; under -short the
// youngest, the middle and the oldest.
func ages(r rhythm.Rhythm) []ecg.Age {
	var out []ecg.Age
	for i, b := range norms.Bands() {
		if testing.Short() && i%3 != 0 {
			continue
		}
		if r.Ages == nil || r.Ages(b.Middle) {
			out = append(out, b.Middle)
		}
	}
	return out
}

// identities are all rhythms at all their ages, plain and under each artifact, with
// the given seed; under -short the artifacts lie over sinus rhythm only.
func identities(seed uint64) []ecg.Identity {
	var out []ecg.Identity
	for _, r := range rhythm.All() {
		for _, age := range ages(r) {
			id := ecg.Synthetic(r.ID, age, seed)
			out = append(out, id)
			if testing.Short() && r.ID != "sinus-rhythm" {
				continue
			}
			for _, k := range artifact.All() {
				id.Artifact = k.ID
				out = append(out, id)
			}
		}
	}
	return out
}

// plain are the identities without an artifact.
func plain(seed uint64) []ecg.Identity {
	return slices.DeleteFunc(identities(seed), func(id ecg.Identity) bool { return id.Artifact != "" })
}

// limitsFor are the reader's limits for an age, from the published tables.
func limitsFor(age ecg.Age) measure.Limits { return synth.Limits(age) }

func buffer(rows, frames int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, frames)
	}
	return out
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(x))
	return (s[len(s)/2] + s[(len(s)-1)/2]) / 2
}

// height is the range of a row.
func height(x []float64) float64 { return slices.Max(x) - slices.Min(x) }

// all are every row of a strip, witnesses included.
func all(s ecg.Strip) [][]float64 {
	rows := slices.Clone(s.MV)
	for _, w := range s.Witnesses {
		rows = append(rows, w.Values)
	}
	return rows
}
