package main

import (
	"bytes"
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// written is a recording of a rhythm in lead II, in a file.
func written(t *testing.T, id ecg.Identity, seconds float64) (path string, marks ecg.Marks) {
	t.Helper()
	id.Leads = []ecg.Lead{ecg.II}
	id.Rate = 250
	strip, marks, err := synth.Render(id, seconds)
	require.NoError(t, err)
	strip.Witnesses = nil
	path = filepath.Join(t.TempDir(), "long")
	require.NoError(t, record.WriteWFDB(path, ecg.Record{Strip: strip}))
	return path, marks
}

// At a seam no beat is lost and none is counted twice: every true beat has one that was found.
func TestMinutesHaveNoSeams(t *testing.T) {
	for _, rhythm := range []string{"sinus-rhythm", "ventricular-bigeminy", "atrial-fibrillation"} {
		path, marks := written(t, ecg.Synthetic(rhythm, ecg.Years(40), 3), 330)
		var found []float64
		minutes := 0
		require.NoError(t, eachMinute(path, "", measure.Adult(), part{0, math.Inf(1), besideIt}, func(m minute) error {
			minutes++
			for _, b := range m.Beats {
				found = append(found, b.QRS.Peak)
			}
			return nil
		}))
		assert.Equal(t, 6, minutes)
		k := 0
		for _, b := range marks.Beats {
			if b.QRS.Peak < 0.3 || b.QRS.Offset > 329.7 {
				continue // cut off by the ends
			}
			for k < len(found) && found[k] < b.QRS.Peak-0.1 {
				k++
			}
			if assert.Less(t, k, len(found), "%s: beat at %.2f s", rhythm, b.QRS.Peak) {
				assert.InDelta(t, b.QRS.Peak, found[k], 0.1, rhythm)
			}
		}
		for i := 1; i < len(found); i++ {
			assert.Greater(t, found[i]-found[i-1], 0.2, "%s at %.2f s", rhythm, found[i])
		}
	}
}

// More than an hour is read whole, with progress, and each change has its stretch.
func TestALongRecording(t *testing.T) {
	if testing.Short() {
		t.Skip("an hour and more: left out under -short")
	}
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(40), 1)
	id.Then = []ecg.Step{{At: 1800, Rhythm: "atrial-fibrillation"}}
	path, marks := written(t, id, 3900)
	var out, messages bytes.Buffer
	c := &console{out: &out, err: &messages, now: time.Now}
	require.Equal(t, exitOK, run(c, []string{"measure", path, "--beats", path + ".qrs"}), messages.String())
	assert.Contains(t, messages.String(), "read 1 of 1.1 hours")
	assert.Contains(t, out.String(), "01:05:00, read minute by minute")
	assert.Regexp(t, `00:00:00 00:30:00 +II .*sinus-rhythm`, out.String())
	assert.Contains(t, out.String(), "atrial-fibrillation")
	assert.Contains(t, out.String(), "Training only")
	labels, err := record.ReadAnnotations(path + ".qrs")
	require.NoError(t, err)
	assert.InEpsilon(t, len(marks.Beats), len(labels), 0.01)
	for i := 1; i < len(labels); i++ {
		require.Less(t, labels[i-1].Sample, labels[i].Sample)
	}

	out.Reset()
	require.Equal(t, exitOK, run(c, []string{"measure", path, "--format", "json"}))
	assert.Contains(t, out.String(), `"stretches"`)
	assert.False(t, strings.Contains(out.String(), "NaN"))
	assert.Equal(t, exitError, run(c, []string{"measure", path, "--lead", "V9"}))
}

// A rhythm that changes after two minutes is named before and after, the beats told as a whole.
func TestSeveralMinutesAreNamedMinuteByMinute(t *testing.T) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(40), 3)
	id.Then = []ecg.Step{{At: 120, Rhythm: "ventricular-bigeminy"}}
	path, _ := written(t, id, 240)
	told := func(args ...string) string {
		var out, messages bytes.Buffer
		c := &console{out: &out, err: &messages, now: time.Now}
		require.Equal(t, exitOK, run(c, append([]string{"measure", path}, args...)), messages.String())
		return out.String()
	}
	out := told()
	assert.Regexp(t, `00:00:00 00:02:00 +II .* sinus-rhythm\n`, out)
	assert.Regexp(t, `00:02:00 00:04:00 +II .* ventricular-bigeminy\n`, out)
	assert.Contains(t, out, "Reading of all of it at once:")
	var read struct {
		Beats     []struct{ Origin string } `json:"beats"`
		Stretches []stretch                 `json:"stretches"`
	}
	require.NoError(t, json.Unmarshal([]byte(told("--format", "json", "--at", "60")), &read))
	require.Len(t, read.Stretches, 2)
	assert.Equal(t, len(read.Beats), read.Stretches[0].Beats+read.Stretches[1].Beats)
	assert.InDelta(t, 120, read.Stretches[0].To, 1e-9)
	assert.Zero(t, read.Stretches[0].Ventricular)
	assert.InDelta(t, 0.5, float64(read.Stretches[1].Ventricular)/float64(read.Stretches[1].Beats), 0.02)
	assert.NotContains(t, told("--seconds", "30"), "Minute by minute")
}
