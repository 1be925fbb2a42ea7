package alarm_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/alarm"
	"telltrace/synth/ecg"
	"telltrace/synth/record"
)

// recordings is the folder of the open data sets; a test that needs it skips without.
func recordings(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("TELLTRACE_ECG")
	if dir == "" {
		dir = "../../../shared/ecg"
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("recordings of the open data sets are not here (set TELLTRACE_ECG)")
	}
	return dir
}

// kindOf is the alarm that a header's comment names.
var kindOf = map[string]alarm.Kind{
	"Asystole": alarm.Asystole, "Bradycardia": alarm.Bradycardia, "Tachycardia": alarm.Tachycardia,
	"Ventricular_Tachycardia": alarm.VT, "Ventricular_Flutter_Fib": alarm.Fibrillation,
}

// Real alarms of intensive care units (PhysioNet/CinC Challenge 2015; Clifford et al.
// 2016, Physiol Meas 37:E5), scored as the challenge did: (TP+TN)/(TP+TN+FP+5 FN). Its
// winners reached about 80 % on data they had not seen (from memory).
func TestRealAlarms(t *testing.T) {
	t.Parallel()
	headers, err := filepath.Glob(filepath.Join(recordings(t), "icu-alarms", "*.hea"))
	require.NoError(t, err)
	require.NotEmpty(t, headers)
	type count struct{ tp, tn, fp, fn int }
	byKind, all := map[alarm.Kind]*count{}, count{}
	for _, path := range headers {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		var kind alarm.Kind
		for word, k := range kindOf {
			if strings.Contains(string(text), "# "+word+"\n") {
				kind = k
			}
		}
		truth := strings.Contains(string(text), "# True alarm")
		rec, err := record.ReadSegment(strings.TrimSuffix(path, ".hea"), 0, 3600)
		require.NoError(t, err)
		v, err := alarm.Judge(rec.Strip, kind)
		require.NoError(t, err)
		require.NotEmpty(t, v.Reasons)
		c := byKind[kind]
		if c == nil {
			c = &count{}
			byKind[kind] = c
		}
		for _, c := range []*count{c, &all} {
			switch {
			case truth && v.Real:
				c.tp++
			case truth:
				c.fn++
			case v.Real:
				c.fp++
			default:
				c.tn++
			}
		}
		if truth != v.Real {
			t.Logf("%s, %s, is %v: %s", filepath.Base(path), kind, truth, strings.Join(v.Reasons, " "))
		}
	}
	for _, k := range alarm.Kinds {
		t.Logf("%-12s %+v", k, *byKind[k])
	}
	score := 100 * float64(all.tp+all.tn) / float64(all.tp+all.tn+all.fp+5*all.fn)
	t.Logf("all %+v: score %.1f", all, score)
	assert.GreaterOrEqual(t, score, 80.0)
	assert.Zero(t, byKind[alarm.Asystole].fn, "no true asystole is called false")
	assert.Zero(t, byKind[alarm.Fibrillation].fn, "no true fibrillation is called false")
}

// Synthetic strips whose truth is known: the arrest is real, the same call over a lead
// that has come off is not.
func TestSyntheticAlarms(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		rhythm, artifact string
		then             string
		kind             alarm.Kind
		real             bool
	}{
		{"sinus-rhythm", "", "asystole", alarm.Asystole, true},
		{"sinus-rhythm", "disconnected-lead", "", alarm.Asystole, false},
		{"sinus-rhythm", "", "coarse-ventricular-fibrillation", alarm.Fibrillation, true},
		{"sinus-rhythm", "shivering", "", alarm.Fibrillation, false},
		{"sinus-rhythm", "movement", "", alarm.VT, false},
		{"supraventricular-tachycardia", "", "", alarm.Tachycardia, true},
		{"sinus-rhythm", "chest-percussion", "", alarm.Tachycardia, false},
		{"sinus-rhythm", "", "", alarm.Bradycardia, false},
	} {
		wrong := 0
		for seed := range uint64(10) {
			id := ecg.Synthetic(tt.rhythm, ecg.Years(40), seed)
			id.Artifact = tt.artifact
			if tt.then != "" {
				id.Then = []ecg.Step{{At: 20, Rhythm: tt.then}}
			}
			s, _, err := synth.Render(id, 28)
			require.NoError(t, err)
			v, err := alarm.Judge(s, tt.kind)
			require.NoError(t, err)
			if v.Real != tt.real {
				wrong++
				t.Logf("%s as %s: %s", id, tt.kind, strings.Join(v.Reasons, " "))
			}
		}
		most := 2
		if tt.real {
			most = 0 // nothing real is called false
		}
		assert.LessOrEqual(t, wrong, most, "%s %s then %s as %s", tt.rhythm, tt.artifact, tt.then, tt.kind)
	}
}

func TestWhatCannotBeWeighed(t *testing.T) {
	t.Parallel()
	s, _, err := synth.Render(ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1), 3)
	require.NoError(t, err)
	_, err = alarm.Judge(s, alarm.VT)
	assert.ErrorContains(t, err, "3 s are too short")
	_, err = alarm.Judge(s, "loud")
	assert.ErrorContains(t, err, `"loud" is none of`)
}
