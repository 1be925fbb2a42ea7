package record

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Headers that lie, against header(5). want names file, field and reason.
func TestHeaderBadInput(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "r.dat", strings.Repeat("\x01\x00", 100))
	const signal = "r.dat 16 200/mV 16 0 1 100 0 II\n"
	for name, tt := range map[string]struct{ text, want string }{
		"empty":              {"", "header: has no record line"},
		"comments only":      {"# hello\n", "has no record line"},
		"binary":             {"r 1\x00 250", "holds binary data"},
		"too long":           {strings.Repeat("# long\n", maxHeaderBytes/7+1), "longer than"},
		"one word":           {"r\n", "r.hea:1: record line: want at least"},
		"rate 0":             {"r 1 0 100\n" + signal, `sampling rate: "0" is not`},
		"rate negative":      {"r 1 -250 100\n" + signal, `sampling rate: "-250" is not`},
		"rate NaN":           {"r 1 NaN 100\n" + signal, `sampling rate: "NaN" is not`},
		"rate infinite":      {"r 1 inf 100\n" + signal, `sampling rate: "inf" is not`},
		"rate no number":     {"r 1 fast 100\n" + signal, `sampling rate: "fast" is not`},
		"no signals":         {"r 0 250 100\n", "number of signals: the record holds no signals"},
		"signals negative":   {"r -1 250 100\n", `number of signals: "-1" is not`},
		"signals absurd":     {"r 1000000000 250 100\n", `number of signals: "1000000000" is not`},
		"signals missing":    {"r 3 250 100\n" + signal, "promises 3 signals, 1 are described"},
		"signals too many":   {"r 1 250 100\n" + signal + signal, "promises 1 signals, 2 are described"},
		"samples negative":   {"r 1 250 -5\n" + signal, `number of samples: "-5" is not`},
		"samples absurd":     {"r 1 250 99999999999999999999\n" + signal, "number of samples"},
		"more than held":     {"r 1 250 101\n" + signal, "r.dat: number of samples: the header promises 101 per signal, the file holds 100"},
		"a lie of 2^40":      {"r 1 250 1099511627776\n" + signal, "promises 1099511627776 per signal, the file holds 100"},
		"unknown format":     {"r 1 250 100\nr.dat 17\n", "r.hea:2: signal 0 format: 17 is not read here; known are 8, 16, 24, 32, 61, 80, 160, 212, 310, 311"},
		"no format":          {"r 1 250 100\nr.dat x2\n", "does not begin with a number"},
		"frame of 0":         {"r 1 250 100\nr.dat 16x0\n", "samples per frame are out of range"},
		"frame absurd":       {"r 1 250 100\nr.dat 16x99999999\n", "samples per frame are out of range"},
		"frames too wide":    {"r 32 250\nr.dat 16x200000\n" + strings.Repeat("r.dat 16\n", 31), "200000 in each of 32 signals are more"},
		"skew absurd":        {"r 1 250 100\nr.dat 16:999999999\n", "skew: 999999999 is more than"},
		"skew negative":      {"r 1 250 100\nr.dat 16:-2\n", "is not a whole number"},
		"offset too long":    {"r 1 250 100\nr.dat 16+190\n", "the file holds 5"},
		"gain no number":     {"r 1 250 100\nr.dat 16 high\n", "gain"},
		"gain 0":             {"r 1 250 100\nr.dat 16 0\n", "signal 0 gain: 0 says that the amplitude is not calibrated"},
		"gain NaN":           {"r 1 250 100\nr.dat 16 NaN\n", "signal 0 gain"},
		"gain infinite":      {"r 1 250 100\nr.dat 16 1e999\n", "signal 0 gain"},
		"gain tiny":          {"r 1 250 100\nr.dat 16 1e-300\n", "out of any recorder's range"},
		"baseline open":      {"r 1 250 100\nr.dat 16 200(5\n", "is not a whole number in brackets"},
		"zero no number":     {"r 1 250 100\nr.dat 16 200 16 ten\n", "signal 0 zero"},
		"missing file":       {"r 1 250 100\nq.dat 16\n", "q.dat: samples: "},
		"another folder":     {"r 1 250 100\n../r.dat 16\n", "signal 0 file name"},
		"absolute":           {"r 1 250 100\n/etc/passwd 16\n", "is refused"},
		"backslash":          {"r 1 250 100\n..\\r.dat 16\n", "is refused"},
		"standard input":     {"r 1 250 100\n- 16\n", "is refused"},
		"no samples":         {"r 1 250 100\n~ 0\n", "a signal without samples"},
		"mixed formats":      {"r 2 250 50\nr.dat 16\nr.dat 212\n", "must share format"},
		"file apart":         {"r 3 250 10\nr.dat 16\nq2.dat 16\nr.dat 16\n", "must stand together"},
		"folder as file":     {"r 1 250\nsub 16\n", "is not a file of samples"},
		"segments":           {"r/3 1 250 200\nr 100\n", "promises 3 segments, 1 are listed"},
		"segments absurd":    {"r/1000000000 1 250 200\n", "number of segments"},
		"segment sum":        {"r/2 1 250 250\na 100\na 100\n", "promises 250, the segments add up to 200"},
		"segment path":       {"r/1 1 250 100\n../a 100\n", "is refused"},
		"segment missing":    {"r/1 1 250 100\nnope 100\n", "nope.hea"},
		"segment of itself":  {"r/1 1 250 100\nr 100\n", "a segment cannot have segments itself"},
		"segment rate":       {"r/1 1 500 100\na 100\n", "sampling rate: is 250, but"},
		"segment length":     {"r/1 1 250 90\na 90\n", "number of samples: is 100, but"},
		"segment signals":    {"r/1 2 250 100\na 100\n", "number of signals"},
		"gaps only":          {"r/1 1 250 100\n~ 100\n", "all are gaps"},
		"nothing but layout": {"r/1 1 250 0\na0 0\n", "the record holds none"},
	} {
		t.Run(name, func(t *testing.T) {
			write(t, dir, "a.hea", "a 1 250 100\n"+signal)
			write(t, dir, "a0.hea", "a0 1 250 0\n~ 0 200/mV 16 0 0 0 0 II\n")
			write(t, dir, "q2.dat", strings.Repeat("\x01\x00", 100))
			require.NoError(t, os.MkdirAll(filepath.Join(dir, "sub"), 0o777))
			path := write(t, dir, "r.hea", tt.text)
			_, err := Open(path)
			var own *Error
			require.ErrorAs(t, err, &own)
			assert.ErrorContains(t, err, dir, "the file")
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

// What header(5) says of fields that are left out.
func TestHeaderDefaults(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "r.dat", "\x00\x00\xc8\x00\x90\x01")
	for name, tt := range map[string]struct {
		text string
		rate float64
		last float64
	}{
		"rate 250, gain 200, baseline 0": {"r 1\nr.dat 16\n", 250, 2},
		"baseline is the zero":           {"r 1 360 3\nr.dat 16 100 12 200\n", 360, 2},
		"baseline in brackets":           {"r 1 360 3\nr.dat 16 100(100) 12 200\n", 360, 3},
		"counter frequency":              {"r 1 128/360(7) 3\nr.dat 16 400\n", 128, 1},
		"unit uV":                        {"r 1 360 3\nr.dat 16 0.4/uV 12\n", 360, 1},
		"comment, CRLF":                  {"# first\r\nr 1 360 3\r\nr.dat 16 400\r\n# last\r\n", 360, 1},
	} {
		t.Run(name, func(t *testing.T) {
			rec, err := ReadAll(write(t, dir, "r.hea", tt.text))
			require.NoError(t, err)
			assert.Equal(t, tt.rate, rec.Strip.Rate)
			require.Len(t, rec.Strip.MV[0], 3)
			assert.InDelta(t, tt.last, rec.Strip.MV[0][2], 1e-12)
		})
	}
}

func TestOpenBadPath(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "notes.txt", "hello")
	for path, want := range map[string]string{
		filepath.Join(dir, "none"):      "no such recording",
		filepath.Join(dir, "none.dat"):  "a WFDB record needs its header",
		filepath.Join(dir, "none.csv"):  "no such file",
		filepath.Join(dir, "none.edf"):  "no such file",
		filepath.Join(dir, "notes.txt"): "not a kind of recording that is read",
		dir:                             "is a folder",
	} {
		_, err := Open(path)
		require.Error(t, err, path)
		assert.ErrorContains(t, err, want)
		assert.True(t, strings.HasPrefix(err.Error(), strings.TrimSuffix(path, ".dat")), "%v begins with the path", err)
		assert.Equal(t, 1, strings.Count(err.Error(), dir), "the path stands there once: %v", err)
	}
}

func TestCSVBadInput(t *testing.T) {
	even := func(n int) string {
		var b strings.Builder
		b.WriteString("time_s,II\n")
		for i := range n {
			fmt.Fprintf(&b, "%g,0.1\n", float64(i)/250)
		}
		return b.String()
	}
	dir := t.TempDir()
	for name, tt := range map[string]struct{ text, want string }{
		"empty":        {"", "columns: the file is empty"},
		"no time":      {"t,II\n0,1\n", `r.csv:1: columns: the first is "t"`},
		"no lead":      {"time_s\n0\n", "0 beside the time"},
		"twice":        {"time_s,II,ii\n0,1,1\n", `"ii" occurs twice`},
		"no lines":     {"time_s,II\n", "fewer than two samples"},
		"one line":     {"time_s,II\n0,1\n", "fewer than two samples"},
		"no number":    {"time_s,II\n0,1\n0.1,one\n0.2,1\n", `r.csv:3: column 2: "one" is not a number`},
		"no time here": {"time_s,II\n0,1\n,1\n", `r.csv:3: time: "" is not a number`},
		"infinite":     {"time_s,II\n0,1\n0.1,inf\n", "r.csv:3: column 2"},
		"too few":      {"time_s,II\n0,1\n0.1\n0.2,1\n", "r.csv:3: columns: 1, but the first line names 2"},
		"gap":          {strings.Replace(even(100), "0.2,0.1\n", "", 1), "r.csv:52: time: 0.204 s is not one"},
		"late gap":     {strings.Replace(even(9000), "\n32,0.1\n", "\n", 1), "r.csv:8002: time: 32.004 s is not one"},
		"backwards":    {"time_s,II\n0,1\n0.1,1\n0.05,1\n", "r.csv:4: time"},
		"same time":    {"time_s,II\n0,1\n0,1\n", "r.csv:3: time"},
		"milliseconds": {"time_s,II\n0,1\n1e9,1\n", "is the column in seconds?"},
		"long line":    {"time_s,II\n0," + strings.Repeat("1", maxCSVLine) + "\n", "r.csv:2: line: longer than"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ReadAll(write(t, dir, "r.csv", tt.text))
			var own *Error
			require.ErrorAs(t, err, &own)
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

// Times rounded to milliseconds, blanks, quotes, CRLF, empty cells, another start.
func TestCSVTolerance(t *testing.T) {
	var b strings.Builder
	b.WriteString("\ufefftime_s, \"avr\" ,PLETH\r\n")
	for i := range 2000 {
		fmt.Fprintf(&b, "%.3f, 0.5 ,\r\n", 10+float64(i)/360)
	}
	s, err := ReadCSV(strings.NewReader(b.String()), "x")
	require.NoError(t, err)
	assert.Equal(t, 360.0, s.Rate)
	require.Len(t, s.Row("aVR"), 2000)
	assert.Equal(t, 0.5, s.Row("aVR")[7])
	assert.True(t, math.IsNaN(s.Witness("PLETH")[7]))
}

// Names from a file cannot reach the terminal as control sequences.
func TestCleanText(t *testing.T) {
	assert.Equal(t, "[31mred", clean("\x1b[31mred\a\r\n"))
	assert.Equal(t, "µV", clean("\xb5V"))
	assert.Equal(t, "ab", clean("a\u202eb"), "no reversal of the writing direction")
}
