package synth_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/rhythm"
)

// every is how many frames lie between two that the digest keeps.
const every = 20

// A processor may fuse a multiplication with an addition, so samples are compared
// within a tolerance, not bit for bit.
const (
	sampleTolerance = 5e-6 // mV, and units of the pulse
	engineNote      = "# Every 20th frame of the first 2 s: leads I, II, III in mV, then the pulse trace. go test ./synth -update"
)

// The first two seconds of one strip of each rhythm are the ones on file: an engine
// that alters the samples of an identity must raise ecg.Engine and write them anew.
func TestGoldenStrips(t *testing.T) {
	t.Parallel()
	path := filepath.Join("testdata", "strips.txt")
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n# engine %d\n", engineNote, ecg.Engine)
	digests := map[string][][]float64{}
	for n, r := range rhythm.All() {
		at := ages(r)
		id := ecg.Synthetic(r.ID, at[len(at)/2], uint64(n+1))
		if n%3 == 1 {
			id.Artifact = "movement"
		}
		s, _ := render(t, id, 2)
		fmt.Fprintf(&out, "%s\n", id)
		for _, row := range all(s) {
			var kept []float64
			for i := 0; i < len(row); i += every {
				kept = append(kept, row[i])
				fmt.Fprintf(&out, " %.6f", row[i])
			}
			digests[id.String()] = append(digests[id.String()], kept)
			out.WriteByte('\n')
		}
	}
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(out.String()), 0o644))
	}
	onFile := readDigests(t, path)
	assert.Len(t, onFile, len(digests), "one strip of each rhythm is on file")
	for id, rows := range digests {
		want, ok := onFile[id]
		if !assert.True(t, ok, "%s is not on file: go test ./synth -update", id) {
			continue
		}
		require.Len(t, want, len(rows), id)
		for row := range rows {
			require.Len(t, want[row], len(rows[row]), id)
			for i, v := range rows[row] {
				if math.Abs(v-want[row][i]) > sampleTolerance {
					assert.InDelta(t, want[row][i], v, sampleTolerance, "%s, row %d, frame %d: if the change is wanted, raise ecg.Engine once released and run go test ./synth -update", id, row, i*every)
					break
				}
			}
		}
	}
}

func readDigests(t *testing.T, path string) map[string][][]float64 {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err, "write it with: go test ./synth -update")
	defer func() { assert.NoError(t, f.Close()) }()
	out := map[string][][]float64{}
	lines := bufio.NewScanner(f)
	id := ""
	for lines.Scan() {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "#"):
		case !strings.HasPrefix(line, " "):
			id = line
		default:
			var row []float64
			for word := range strings.FieldsSeq(line) {
				v, err := strconv.ParseFloat(word, 64)
				require.NoError(t, err, path)
				row = append(row, v)
			}
			out[id] = append(out[id], row)
		}
	}
	require.NoError(t, lines.Err())
	return out
}
