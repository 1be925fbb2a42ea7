package measure

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// A small reader of WFDB records for these tests alone: formats 16 and 212, MIT
// annotation files. It is kept apart from synth/record, so that a fault there
// cannot hide one here.

// recordings returns the folder of shared recordings or skips the test.
func recordings(t testing.TB) string {
	t.Helper()
	dir := os.Getenv("TELLTRACE_ECG")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "ecg")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("no shared recordings: set TELLTRACE_ECG to their folder")
	}
	return dir
}

// readRecord reads a record's signals in mV (NaN where invalid).
func readRecord(t testing.TB, path string) ecg.Strip {
	t.Helper()
	header, err := os.ReadFile(path + ".hea")
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(header)), "\n")
	first := strings.Fields(lines[0])
	channels := atoi(t, first[1])
	s := ecg.Strip{Rate: atof(t, strings.Split(first[2], "/")[0])}
	var format int
	gains, bases := make([]float64, channels), make([]float64, channels)
	for c := range channels {
		f := strings.Fields(lines[1+c])
		format = atoi(t, strings.Split(strings.Split(f[1], "x")[0], "+")[0])
		gain := strings.Split(f[2], "/")[0]
		zero := 0
		if len(f) > 4 {
			zero = atoi(t, f[4])
		}
		if i := strings.IndexByte(gain, '('); i >= 0 {
			zero = atoi(t, strings.TrimSuffix(gain[i+1:], ")"))
			gain = gain[:i]
		}
		gains[c], bases[c] = atof(t, gain), float64(zero)
		if gains[c] == 0 {
			gains[c] = 200
		}
		s.Leads = append(s.Leads, ecg.Lead(f[len(f)-1]))
	}
	data, err := os.ReadFile(filepath.Join(filepath.Dir(path), strings.Fields(lines[1])[0]))
	require.NoError(t, err)
	counts, invalid := decode(t, data, format)
	s.MV = make([][]float64, channels)
	for i, v := range counts {
		c := i % channels
		mv := (float64(v) - bases[c]) / gains[c]
		if v == invalid {
			mv = nan
		}
		s.MV[c] = append(s.MV[c], mv)
	}
	return s
}

func decode(t testing.TB, data []byte, format int) (counts []int, invalid int) {
	switch format {
	case 16:
		for i := 0; i+1 < len(data); i += 2 {
			counts = append(counts, int(int16(uint16(data[i])|uint16(data[i+1])<<8)))
		}
		return counts, -32768
	case 212:
		sign := func(v int) int { return v - v&0x800<<1 }
		for i := 0; i+2 < len(data); i += 3 {
			counts = append(counts, sign(int(data[i])|int(data[i+1]&0x0f)<<8), sign(int(data[i+2])|int(data[i+1]&0xf0)<<4))
		}
		return counts, -2048
	}
	require.Fail(t, "format", "%d is not read here", format)
	return nil, 0
}

// A mark is one annotation: sample, MIT code, text.
type mark struct {
	at, code int
	aux      string
}

// MIT annotation codes used by the tests (WFDB programmer's guide, ecgcodes.h).
const (
	codeP, codeT, codeOn, codeOff, codeN = 24, 27, 39, 40, 1
)

func readMarks(t testing.TB, path string) []mark {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var out []mark
	at := 0
	for i := 0; i+1 < len(data); i += 2 {
		word := int(data[i]) | int(data[i+1])<<8
		code, v := word>>10, word&0x3ff
		switch {
		case word == 0:
			return out
		case code == 59: // SKIP: a long interval, high word first
			hi := int(data[i+2]) | int(data[i+3])<<8
			lo := int(data[i+4]) | int(data[i+5])<<8
			at += int(int32(hi<<16 | lo))
			i += 4
		case code == 63: // AUX
			out[len(out)-1].aux = strings.TrimRight(string(data[i+2:i+2+v]), "\x00")
			i += v + v&1
		case code >= 60: // NUM, SUB, CHN
		default:
			at += v
			out = append(out, mark{at: at, code: code})
		}
	}
	return out
}

func atoi(t testing.TB, s string) int {
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}

func atof(t testing.TB, s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

func readText(t testing.TB, path string) string {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}
