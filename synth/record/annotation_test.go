package record

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// Bytes worked out by hand from annot(5): code << 10 | interval, low byte first.
func TestAnnotationBytes(t *testing.T) {
	anns := []ecg.Annotation{
		{Sample: 18, Symbol: "+", Aux: "(N"},
		{Sample: 77, Symbol: "N"},
		{Sample: 70077, Symbol: "V", Subtype: -1, Channel: 1, Number: 2},
		{Sample: 70078, Symbol: "A", Channel: 1, Number: 2},
	}
	want := []byte{
		0x12, 0x70, // 28 << 10 | 18
		0x02, 0xfc, '(', 'N', // AUX of 2 bytes
		0x3b, 0x04, // 1 << 10 | 59
		0x00, 0xec, 0x01, 0x00, 0x70, 0x11, // SKIP 70000 = 0x00011170, high word first
		0x00, 0x14, // 5 << 10
		0x02, 0xf0, // NUM 2
		0xff, 0xf4, // SUB -1
		0x01, 0xf8, // CHN 1
		0x01, 0x20, // 8 << 10 | 1; number and channel stay
		0x00, 0x00,
	}
	got, err := formatAnnotations("x", anns)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	back, _, err := parseAnnotations("x", want)
	require.NoError(t, err)
	assert.Equal(t, anns, back)
}

// Codes from the table of annot(5), PhysioNet (ecgcodes.h).
func TestStandardCodes(t *testing.T) {
	for code, symbol := range map[int]string{1: "N", 2: "L", 3: "R", 5: "V", 8: "A", 12: "/", 13: "Q", 14: "~", 16: "|",
		22: `"`, 24: "p", 27: "t", 28: "+", 31: "!", 32: "[", 33: "]", 37: "x", 38: "f", 39: "(", 40: ")", 41: "r", 42: "[42]"} {
		assert.Equal(t, symbol, symbolOf(code))
		got, ok := codeOf(symbol)
		assert.True(t, ok)
		assert.Equal(t, code, got)
	}
	for _, symbol := range []string{"", " ", "Z", "[0]", "[50]", "[x]", "[-1]"} {
		_, ok := codeOf(symbol)
		assert.False(t, ok, symbol)
	}
}

func TestAnnotationRoundTrip(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "r.atr")
	for trial := range 200 {
		anns := make([]ecg.Annotation, rng.IntN(40))
		sample := 0
		for i := range anns {
			sample += rng.IntN([]int{1, 2, 1024, 5000, 1 << 30}[rng.IntN(5)])
			anns[i] = ecg.Annotation{Sample: sample, Symbol: symbolOf(1 + rng.IntN(maxCode)), Subtype: rng.IntN(256) - 128,
				Channel: rng.IntN(256), Number: rng.IntN(256) - 128}
			if rng.IntN(3) == 0 {
				anns[i].Aux = fmt.Sprintf("(%0*d", rng.IntN(maxAux-20), rng.IntN(1e9))
			}
		}
		require.NoError(t, WriteAnnotations(path, anns))
		got, err := ReadAnnotations(path)
		require.NoError(t, err)
		require.True(t, slices.Equal(anns, got), "seed %d trial %d", seed, trial)
	}
}

// Times in milliseconds over a record at 500 Hz, and a symbol of the file's own.
func TestTimeResolution(t *testing.T) {
	dir := t.TempDir()
	rec := sample()
	rec.Strip.Rate = 500
	rec.Annotations = []ecg.Annotation{
		{Symbol: `"`, Aux: "## time resolution: 1000"},
		{Symbol: `"`, Aux: "## annotation type definitions"},
		{Symbol: `"`, Aux: "42 pc pace spike"},
		{Symbol: `"`, Aux: "## end of definitions"},
		{Symbol: `"`, Aux: "a real note"},
		{Sample: 400, Symbol: "N"}, {Sample: 1000, Symbol: "[42]"}}
	require.NoError(t, WriteWFDB(filepath.Join(dir, "r"), rec))
	got, err := ReadAll(filepath.Join(dir, "r.dat"))
	require.NoError(t, err)
	assert.Equal(t, []ecg.Annotation{{Symbol: `"`, Aux: "a real note"}, {Sample: 200, Symbol: "N"}, {Sample: 500, Symbol: "pc"}}, got.Annotations)
}

func TestAnnotationBadInput(t *testing.T) {
	dir := t.TempDir()
	for name, tt := range map[string]struct{ data, want string }{
		"empty":          {"", "cut short here: no end mark"},
		"half a word":    {"\x01\x04\x00", "no end mark"},
		"no end mark":    {"\x01\x04", "annotation 1 (byte 2): the file was cut short"},
		"cut in text":    {"\x01\x04\x20\xfcabc", "its text promises 32 bytes, 3 are left"},
		"cut in skip":    {"\x00\xec\x01", "in a long interval"},
		"backwards":      {"\x64\x04\x00\xec\xff\xff\xf0\xff\x00\x04\x00\x00", "sample 84, is before"},
		"before start":   {"\x00\xec\xff\xff\xf0\xff\x00\x04\x00\x00", "sample -16, is before"},
		"text first":     {"\x02\xfcab\x00\x00", "none came before it"},
		"not assigned":   {"\x01\x04\x00\xd0\x00\x00", "code 52 is not assigned"},
		"something else": {"Dear reader,\n", "byte"},
	} {
		t.Run(name, func(t *testing.T) {
			path := write(t, dir, "r.atr", tt.data)
			_, err := ReadAnnotations(path)
			var own *Error
			require.ErrorAs(t, err, &own)
			assert.ErrorContains(t, err, path)
			assert.ErrorContains(t, err, tt.want)
		})
	}
	for want, a := range map[string]ecg.Annotation{
		`"Z" is not a standard symbol`: {Symbol: "Z"},
		"is before that":               {Sample: -1, Symbol: "N"},
		"from -128 to 127":             {Symbol: "N", Subtype: 128},
		"longer than 1023 bytes":       {Symbol: "N", Aux: fmt.Sprintf("%01024d", 1)},
	} {
		assert.ErrorContains(t, WriteAnnotations(filepath.Join(dir, "w.atr"), []ecg.Annotation{a}), want)
	}
}
