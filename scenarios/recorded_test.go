package scenarios

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/record"
)

// recordings finds the open data sets that tests read, and skips without them.
func recordings(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("TELLTRACE_ECG")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "ecg")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("no recordings at %s: set TELLTRACE_ECG to the folder with mitdb", dir)
	}
	return dir
}

// Labels of the MIT-BIH Arrhythmia Database (Moody and Mark 2001), records as named:
// what the experts' rhythm and beat marks say must be what is asked about.
func TestStretchesFollowTheLabels(t *testing.T) {
	dir := recordings(t)
	for _, tt := range []struct {
		name    string
		record  string
		has     []string // subjects that must come up
		hasNot  []string
		at      float64 // s at which a stretch must contain subject has[0]
		reasons string
	}{
		{"sinus", "mitdb/103", []string{"sinus-rhythm"}, []string{"premature-ventricular-beats", "ventricular-run"}, 30, "record 103 has normal beats only"},
		{"run", "mitdb/106", []string{"ventricular-run", "premature-ventricular-beats", "sinus-rhythm"}, nil, 77, "(VT mark at 76.7 s"},
		{"bigeminy", "mitdb/119", []string{"ventricular-bigeminy"}, nil, 35, "(B mark 29.9-40.1 s"},
		{"svt", "mitdb/209", []string{"supraventricular-tachycardia"}, nil, 20, "(SVTA mark 10.7-39.3 s"},
		{"fibrillation", "cudb/cu01", []string{"coarse-ventricular-fibrillation"}, nil, 70, "(VF mark from 60.2 s"},
		{"atrial fibrillation is not in the catalogue", "mitdb/202", nil, []string{"sinus-rhythm", "supraventricular-tachycardia"}, 0, "(AFIB and (AFL only"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := record.Open(filepath.Join(dir, tt.record))
			require.NoError(t, err)
			defer r.Close()
			annotations, err := r.Annotations("atr")
			require.NoError(t, err)
			h := r.Header()
			seconds, _ := h.Seconds()
			found := map[string]bool{}
			there := false
			for _, s := range Stretches(annotations, h.Rate, seconds, 60, 100) {
				found[s.Subject] = true
				assert.GreaterOrEqual(t, s.At, 0.0)
				assert.LessOrEqual(t, s.At+s.Seconds, seconds+1e-9, "inside the recording")
				if len(tt.has) > 0 && s.Subject == tt.has[0] && s.At <= tt.at && tt.at < s.At+s.Seconds {
					there = true
				}
			}
			for _, id := range tt.has {
				assert.True(t, found[id], "%s: %s", id, tt.reasons)
			}
			for _, id := range tt.hasNot {
				assert.False(t, found[id], "%s: %s", id, tt.reasons)
			}
			if len(tt.has) > 0 {
				assert.True(t, there, "%s at %g s: %s", tt.has[0], tt.at, tt.reasons)
			}
		})
	}
}
