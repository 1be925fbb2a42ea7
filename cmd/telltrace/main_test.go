package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/record"
)

func TestMain(m *testing.M) {
	if os.Getenv(idleVariable) != "" {
		os.Exit(runIdle())
	}
	testscript.Main(m, map[string]func(){"telltrace": main})
}

// recordings is the folder of shared recordings, "" where there is none.
func recordings(t *testing.T) string {
	folder := os.Getenv("TELLTRACE_ECG")
	if folder == "" {
		folder = "../../../shared/ecg"
	}
	folder, err := filepath.Abs(folder)
	require.NoError(t, err)
	if _, err := os.Stat(filepath.Join(folder, "records.csv")); err != nil {
		t.Logf("no recordings at %s (set TELLTRACE_ECG): scripts leave out what needs them", folder)
		return ""
	}
	return folder
}

// Scripts use, beside the usual commands, "exits CODE PROGRAM ARGS...", and the
// condition [ecg] with the variable $ECG for recordings.
func TestScripts(t *testing.T) {
	folder := recordings(t)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("ECG", folder)
			return nil
		},
		Condition: func(name string) (bool, error) {
			if name != "ecg" {
				return false, fmt.Errorf("unknown condition %q", name)
			}
			return folder != "", nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

// exits runs a program and holds it to its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// program runs the command line within the test and returns what it wrote.
func program(t *testing.T, args ...string) (out, messages string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(&console{in: strings.NewReader(""), out: &o, err: &e}, args)
	return o.String(), e.String(), code
}

// rateIn is rate_bpm of what measure or --truth wrote.
func rateIn(t *testing.T, text string) float64 {
	t.Helper()
	var m struct {
		Rate *float64 `json:"rate_bpm"`
	}
	require.NoError(t, json.Unmarshal([]byte(text), &m))
	require.NotNil(t, m.Rate, text)
	return *m.Rate
}

// What is written as WFDB or CSV is measured back with the rate that the engine
// knows, within 1 %.
func TestRoundTrip(t *testing.T) {
	for _, rhythm := range []string{"sinus-rhythm", "sinus-bradycardia", "sinus-tachycardia",
		"supraventricular-tachycardia", "monomorphic-ventricular-tachycardia", "ventricular-bigeminy"} {
		for _, age := range []string{"newborn", "6y", "adult"} {
			t.Run(rhythm+"/"+age, func(t *testing.T) {
				folder := t.TempDir()
				for _, as := range []struct{ format, out string }{{"wfdb", "strip"}, {"csv", "strip.csv"}} {
					out, truth := filepath.Join(folder, as.out), filepath.Join(folder, as.format+".json")
					_, messages, code := program(t, "strip", rhythm, "--age", age, "--format", as.format, "--out", out, "--truth", truth)
					require.Zero(t, code, messages)
					known, err := os.ReadFile(truth)
					require.NoError(t, err)
					read, messages, code := program(t, "measure", out, "--age", age, "--format", "json")
					require.Zero(t, code, messages)
					assert.InEpsilon(t, rateIn(t, string(known)), rateIn(t, read), 0.01, as.format)
				}
			})
		}
	}
}

// The beats of --format wfdb and of --beats lie at the R peaks of the JSON.
func TestBeatsAreAnnotated(t *testing.T) {
	folder := t.TempDir()
	out := filepath.Join(folder, "strip")
	known, messages, code := program(t, "strip", "ventricular-bigeminy", "--age", "6y", "--format", "wfdb", "--out", out, "--truth", "-")
	require.Zero(t, code, messages)
	rec, err := record.ReadAll(out)
	require.NoError(t, err)
	assertBeats(t, known, rec.Annotations, rec.Strip.Rate)
	symbols := map[string]int{}
	for _, a := range rec.Annotations {
		symbols[a.Symbol]++
	}
	assert.Positive(t, symbols["N"])
	assert.InDelta(t, symbols["N"], symbols["V"], 1, "they take turns")

	beats := filepath.Join(folder, "found.atr")
	read, messages, code := program(t, "measure", out, "--at", "2", "--format", "json", "--beats", beats)
	require.Zero(t, code, messages)
	anns, err := record.ReadAnnotations(beats)
	require.NoError(t, err)
	assertBeats(t, read, anns, rec.Strip.Rate)
	require.NotEmpty(t, anns)
	assert.Greater(t, anns[0].Sample, 2*int(rec.Strip.Rate), "counted from the start of the recording")
}

func assertBeats(t *testing.T, text string, anns []ecg.Annotation, rate float64) {
	t.Helper()
	var m struct {
		Beats []struct {
			R float64 `json:"r_s"`
		} `json:"beats"`
	}
	require.NoError(t, json.Unmarshal([]byte(text), &m))
	require.Len(t, anns, len(m.Beats))
	for i, a := range anns {
		assert.InDelta(t, m.Beats[i].R, float64(a.Sample)/rate, 1/rate)
	}
}

// The names are a contract with other programs: they may grow in number, no more.
func TestMeasuredShape(t *testing.T) {
	truth, messages, code := program(t, "strip", "sinus-rhythm", "--truth", "-")
	require.Zero(t, code, messages)
	var m map[string]any
	require.NoError(t, json.Unmarshal([]byte(truth), &m))
	for _, key := range []string{"identity", "rate_bpm", "rr_ms", "rr_cv", "p_per_qrs", "pr_ms", "qrs_ms", "qt_ms", "qtc_ms", "beats", "reading"} {
		assert.Contains(t, m, key)
	}
	assert.Contains(t, m["qtc_ms"], "bazett")
	assert.Contains(t, m["qtc_ms"], "fridericia")
	assert.Contains(t, m["reading"], "rhythm")
	assert.Contains(t, m["reading"], "reasons")
	beat := m["beats"].([]any)[1].(map[string]any)
	for _, key := range []string{"t_s", "origin", "p_on_s", "p_off_s", "qrs_on_s", "r_s", "qrs_off_s", "t_peak_s", "t_off_s"} {
		assert.Contains(t, beat, key)
	}
}

// The same identity gives the same file, made or repeated.
func TestIdentityRepeats(t *testing.T) {
	first, _, code := program(t, "strip", "premature-ventricular-beats", "--age", "4mo", "--seed", "9", "--format", "json")
	require.Zero(t, code)
	var s struct {
		Identity string `json:"identity"`
	}
	require.NoError(t, json.Unmarshal([]byte(first), &s))
	again, messages, code := program(t, "strip", "--identity", s.Identity, "--format", "json")
	require.Zero(t, code, messages)
	assert.Equal(t, first, again)
	other, _, _ := program(t, "strip", "premature-ventricular-beats", "--age", "4mo", "--seed", "10", "--format", "json")
	assert.NotEqual(t, first, other)
}
