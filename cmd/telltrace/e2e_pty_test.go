//go:build !windows

package main

import (
	"fmt"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
)

// The main job, from first start to the missed-answers log, in the built program.
func TestStory(t *testing.T) {
	program := build(t)
	require.FileExists(t, program)
	together(t, atSizes(func(t *testing.T, seed uint64, cols, rows int) {
		h := newHome(t, program)
		story(t, h, seed, func(args ...string) window { return launch(t, h.command(args...), cols, rows) })
	}))
}

// What else a window, a recording or a reader's needs bring about.
func TestTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("the story alone under -short")
	}
	program := build(t)
	tests := map[string]func(*testing.T, string){
		"a terminal that answers nothing": muteTerminal,
		"too small":                       tooSmall,
		"resized at any moment":           resizedAtAnyMoment,
		"all can be read in the smallest": smallestWindow,
		"a recording":                     aRecording,
		"no terminal":                     noTerminal,
		"plain":                           plainWords,
		"no colour":                       noColour,
	}
	bound := map[string]func(*testing.T){}
	for name, test := range tests {
		bound[name] = func(t *testing.T) { test(t, program) }
	}
	together(t, bound)
}

// practising opens the program at the first strip of a seed.
func practising(t *testing.T, h *home, seed uint64, cols, rows int, more ...string) (*terminal, *showing) {
	t.Helper()
	e := drawn(t, seed, 1, scenarios.Wish{})[0]
	before := time.Now()
	x := launch(t, h.command(append([]string{"practise", "--seed", strconv.FormatUint(seed, 10)}, more...)...), cols, rows)
	s := &sitting{t: t, window: x}
	return x, s.shows(e, ledger.Practise, 1, before)
}

// A terminal that never answers must not keep anybody out: none is asked anything
// before the first page (background: xterm, OSC 11; place of the cursor: ECMA-48 DSR).
func muteTerminal(t *testing.T, program string) {
	h := newHome(t, program)
	x := launchIn(t, h.command(), 80, 24, false)
	see(x, look.Caution)
	assert.NotContains(t, x.Raw(), "\x1b]11;?")
	assert.NotContains(t, x.Raw(), "\x1b[6n")
	x.Type("q")
	assert.Zero(t, x.Left())
}

// A window that is too small says what it needs; once it is large enough the choice
// made before is still there.
func tooSmall(t *testing.T, program string) {
	h := settledHome(t, program)
	x, s := practising(t, h, 5, 80, 24)
	x.Type("2")
	see(x, "> 2  ")
	x.Resize(60, 15)
	see(x, look.TooSmall(60, 15, 80, 24))
	assert.NotContains(t, x.Page(), "What does it show?")
	x.Resize(80, 24)
	see(x, "What does it show?", "> 2  ", s.bedside.Patient)
	x.Type(enter)
	see(x, "What do you do first?")
	answers := stored(t, h.store())
	require.Len(t, answers, 1)
	assert.Equal(t, s.e.Choices[1], answers[0].Chosen)
	x.Type(ctrlC)
	assert.Zero(t, x.Left())
}

// In every step the window may change: the page is whole again, and nothing that
// was chosen or answered is lost.
func resizedAtAnyMoment(t *testing.T, program string) {
	h := settledHome(t, program)
	x, s := practising(t, h, 6, 120, 40)
	through := func(words ...string) {
		t.Helper()
		for _, size := range [][2]int{{80, 24}, {200, 50}, {40, 8}, {120, 40}} {
			x.Resize(size[0], size[1])
			if size[0] < 80 {
				see(x, look.TooSmall(size[0], size[1], 80, 24))
				continue
			}
			see(x, words...)
			x.Await("the keys in the last row", func(page string) bool {
				lines := strings.Split(strings.TrimSuffix(page, "\n"), "\n")
				return len(lines) == size[1] && strings.Contains(lines[size[1]-1], "enter") && strings.TrimSpace(lines[0]) != ""
			})
		}
	}
	through("What does it show?")
	x.Type("c")
	x.Resize(80, 24) // while looking
	see(x, s.bedside.Child)
	x.Type("3 ")
	see(x, "> 3  ", "held")
	through("> 3  ", "held", s.bedside.Child)
	x.Type(enter)
	x.Resize(100, 30) // while the answer is kept
	see(x, "What do you do first?")
	x.Type("1")
	see(x, "> 1  ")
	through("What do you do first?", "> 1  ")
	x.Type(enter)
	see(x, "The first action:")
	through("The name:", "The first action:")
	x.Type("?")
	see(x, "Keys that act now")
	x.Resize(90, 30)
	see(x, "Keys that act now", look.Caution)
	x.Type("?q") // two keys in one reading: each counts
	assert.Zero(t, x.Left())
	answers := stored(t, h.store())
	require.Len(t, answers, 2)
	assert.Equal(t, scoring.NotSure, answers[0].Chosen, "the third, after the two of a beginner")
	assert.Equal(t, string(s.e.Actions[0]), answers[1].Chosen)
}

// In the smallest window a strip may be small, but no word about the patient is cut,
// and the way to the help is on the page.
func smallestWindow(t *testing.T, program string) {
	x, s := practising(t, settledHome(t, program), wordySeed(t), 80, 24)
	whole := func() {
		t.Helper()
		x.Await("a page without a cut, and the way to the help in its last row", func(page string) bool {
			lines := strings.Split(strings.TrimSuffix(page, "\n"), "\n")
			return len(lines) == 24 && strings.Contains(lines[23], "? help") && !strings.Contains(page, "…")
		})
	}
	whole()
	s.look("c")
	s.look("p")
	s.look("e")
	whole()
	s.name(s.e.Choices[0])
	whole()
	s.act(s.e.Actions[0])
	whole()
}

// wordySeed gives the bedside with the longest line among a hundred.
func wordySeed(t *testing.T) uint64 {
	var wordy uint64
	longest := 0
	for seed := range uint64(100) {
		b, err := scenarios.At(drawn(t, seed, 1, scenarios.Wish{})[0].Strip)
		require.NoError(t, err)
		for _, line := range []string{b.Patient, "Patient    " + b.Child, "Pulse      " + b.Pulse, "Electrodes " + b.Electrodes} {
			if len(line) > longest {
				longest, wordy = len(line), seed
			}
		}
	}
	return wordy
}

// Record 106 of the MIT-BIH Arrhythmia Database (Moody and Mark 2001) scrolls, is
// asked about, and the answer is kept with its place in the recording.
func aRecording(t *testing.T, program string) {
	folder := recordings(t)
	if folder == "" {
		t.Skip("no recordings: set TELLTRACE_ECG to the folder with mitdb")
	}
	path := filepath.Join(folder, "mitdb", "106")
	const seed = 11
	seeds := rand.New(rand.NewPCG(seed, 0))
	plan, err := practise.Recorded(path, adult, rand.New(rand.NewPCG(seeds.Uint64(), 1)))
	require.NoError(t, err)
	round, err := plan()
	require.NoError(t, err)

	h := settledHome(t, program)
	x := launch(t, h.command("practise", "--from", path, "--seed", strconv.Itoa(seed)), 120, 40)
	see(x, "A recording", "What does it show?", "the patient is not here to be looked at")
	seeDots(x, "mm/mV")
	trace := dots(x.Page())
	x.Await("the strip to scroll", func(page string) bool { return dots(page) != trace })
	right := 0
	for i, id := range round.Choices {
		see(x, fmt.Sprintf("%d  %s", i+1, capital(nameOf(t, id))))
		if id == round.Subject {
			right = i + 1
		}
	}
	require.Positive(t, right)
	x.Type(strconv.Itoa(right))
	see(x, fmt.Sprintf("> %d  ", right))
	x.Type(enter)
	see(x, "The name: right.", nameOf(t, round.Subject))
	x.Type(enter)
	see(x, "What does it show?", "strip 2")
	x.Type("q")
	assert.Zero(t, x.Left())
	answers := stored(t, h.store())
	require.Len(t, answers, 1)
	assert.Equal(t, round.Strip.String(), answers[0].Strip)
	assert.Equal(t, round.Subject, answers[0].Chosen)
	assert.True(t, answers[0].Correct)
	assert.Empty(t, answers[0].State, "nobody knows the state of a patient who is not there")
}

// dots are the cells of a page that are Braille.
func dots(page string) string {
	return strings.Map(func(r rune) rune {
		if isDots(r) || r == '\n' || r == ' ' {
			return r
		}
		return -1
	}, page)
}

// Without a terminal there is nothing to show: it says so and leaves.
func noTerminal(t *testing.T, program string) {
	for _, args := range [][]string{{}, {"practise"}, {"missed"}} {
		h := newHome(t, program)
		var out, messages strings.Builder
		cmd := h.command(args...)
		cmd.Stdout, cmd.Stderr = &out, &messages
		var exit *exec.ExitError
		require.ErrorAs(t, cmd.Run(), &exit, "%v", args)
		assert.Equal(t, exitError, exit.ExitCode())
		assert.Empty(t, out.String())
		assert.Contains(t, messages.String(), "needs a terminal")
		assert.NoFileExists(t, h.store(), "nothing was opened")
	}
}

// selects finds the sequences that choose colours and emphasis (SGR; ECMA-48, 5th
// edition 1991, 8.3.117).
var selects = regexp.MustCompile(`\x1b\[([0-9;:]*)m`)

// colours lists the colour selections in what was written: parameters 30 to 49 and
// 90 to 107 (ECMA-48 and, for the bright ones, common practice).
func colours(raw string) []string {
	var out []string
	for _, found := range selects.FindAllStringSubmatch(raw, -1) {
		for _, p := range strings.FieldsFunc(found[1], func(r rune) bool { return r == ';' || r == ':' }) {
			if n, err := strconv.Atoi(p); err == nil && n >= 30 {
				out = append(out, found[0])
			}
		}
	}
	return out
}

// With --plain a screen reader gets words: no colour, no emphasis, no Braille, a
// table of beats, and no rhythm named before the answer.
func plainWords(t *testing.T, program string) {
	const seed = 7
	h := newHome(t, program)
	wish := scenarios.Wish{Subjects: []string{"sinus-rhythm"}}
	e := drawn(t, seed, 1, wish)[0]
	x := launch(t, h.command("practise", "--plain", "--rhythm", "sinus-rhythm", "--seed", strconv.Itoa(seed)), 100, 40)
	see(x, "time s   P        PR ms   QRS ms  RR ms   pulse", "What does it show?")
	table := func() string {
		above, _, _ := strings.Cut(x.Page(), "What does it show?")
		return above
	}
	for _, l := range synth.Lessons() {
		assert.NotContains(t, strings.ToLower(table()), l.Name)
	}
	beat := regexp.MustCompile(`(?m)^\d+\.\d\d +before +\d+ +\d+ +\d+ +yes`)
	x.Await("beats in the table", func(page string) bool { return len(beat.FindAllString(page, -1)) > 2 })
	before := table()
	x.Type(" ")
	x.Await("the next page of the strip", func(page string) bool { return !strings.HasPrefix(page, before) && beat.MatchString(page) })
	x.Type("c")
	bedside, err := scenarios.At(e.Strip)
	require.NoError(t, err)
	see(x, bedside.Child)
	for i, id := range e.Choices {
		if id == "sinus-rhythm" {
			letter := string(rune('A' + i))
			x.Type(letter)
			see(x, "> "+letter+"  ")
		}
	}
	x.Type(enter)
	see(x, "What do you do first?")
	x.Type("A" + enter)
	see(x, "The name: right.", "sinus rhythm")
	x.Type("q")
	assert.Zero(t, x.Left())
	raw := x.Raw()
	for _, found := range selects.FindAllStringSubmatch(raw, -1) {
		assert.Contains(t, []string{"", "0"}, found[1], "only resets")
	}
	assert.False(t, strings.ContainsFunc(raw, func(r rune) bool { return r >= 0x2800 && r <= 0x28FF }), "no Braille")
}

// NO_COLOR (no-color.org, 2017) leaves emphasis and drops every colour.
func noColour(t *testing.T, program string) {
	through := func(h *home) string {
		x, s := practising(t, h, 8, 120, 40)
		s.name(s.e.Choices[0])
		s.act(s.e.Actions[0])
		x.Type("q")
		assert.Zero(t, x.Left())
		return x.Raw()
	}
	h := settledHome(t, program)
	h.env = append(h.env, "NO_COLOR=1")
	raw := through(h)
	assert.Empty(t, colours(raw))
	assert.True(t, strings.ContainsFunc(raw, isDots), "the strip is still drawn")
	assert.NotEmpty(t, colours(through(settledHome(t, program))), "there are colours otherwise")
}
