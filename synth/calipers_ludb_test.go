package synth_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/record"
)

// cardiologist reads the waves that a cardiologist marked in lead II of a record.
func cardiologist(t *testing.T, base string, rate float64) (m ecg.Marks) {
	t.Helper()
	anns, err := record.ReadAnnotations(base + ".ii")
	require.NoError(t, err)
	var open, peak float64
	symbol := ""
	for _, a := range anns {
		at := float64(a.Sample) / rate
		switch a.Symbol {
		case "(":
			open, symbol = at, ""
		case ")":
			span := ecg.Span{Onset: open, Peak: peak, Offset: at}
			switch last := len(m.Beats) - 1; symbol {
			case "p":
				m.P = append(m.P, span)
			case "N":
				b := ecg.Beat{QRS: span}
				if n := len(m.P) - 1; n >= 0 && m.P[n].Offset <= span.Onset && span.Onset-m.P[n].Onset < 0.35 {
					b.P = m.P[n]
				}
				m.Beats = append(m.Beats, b)
			case "t":
				if last >= 0 && !m.Beats[last].T.Present() {
					m.Beats[last].T = span
				}
			}
		default:
			peak, symbol = at, a.Symbol
		}
	}
	return m
}

// The calipers measure hearts of real people as a cardiologist does: LUDB (Kalyakulina et
// al., IEEE Access 2020;8:186181), told about where each wave lies. The bounds are the
// spread of experts: PR 12, QRS 13, QT 31 ms, put together from P onset 10.2, QRS onset
// 6.5, QRS offset 11.6 and T offset 30.6 ms (CSE working party, Eur Heart J 1985;6:815,
// from memory).
func TestCalipersOnLUDB(t *testing.T) {
	t.Parallel()
	root := os.Getenv("TELLTRACE_ECG")
	if root == "" {
		root = filepath.Join("..", "..", "shared", "ecg")
	}
	files, err := filepath.Glob(filepath.Join(root, "ludb", "*.hea"))
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skipf("no recordings at %s: set TELLTRACE_ECG to the folder that holds ludb", root)
	}
	all := far{}
	for i, file := range files {
		base := strings.TrimSuffix(file, ".hea")
		rec, err := record.ReadAll(base)
		require.NoError(t, err)
		for i, l := range rec.Strip.Leads {
			rec.Strip.Leads[i] = ecg.Lead(strings.ToUpper(string(l)))
		}
		m := cardiologist(t, base, rec.Strip.Rate)
		if len(m.Beats) < 3 {
			continue
		}
		found := measured(rec.Strip, lookAt(m, rand.New(rand.NewPCG(uint64(i), 0))), ecg.Years(50)).marks()
		f := far{}
		for b, beat := range m.Beats {
			f.compare(beat, found.Beats[b], ecg.Years(50))
		}
		for name, ms := range f {
			all[name] = append(all[name], median(ms))
		}
	}
	for name, bound := range map[string]float64{"PR": 12, "QRS": 13, "QT": 31} {
		ms := all[name]
		t.Logf("%s of %d records: median error %.1f ms, mean %.1f, standard deviation %.1f", name, len(ms), median(ms), mean(ms), spread(ms))
		require.Greater(t, len(ms), 15, name)
		assert.Less(t, math.Abs(median(ms)), bound, name)
	}
}
