package pdf

import (
	"bytes"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var made = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

// ISO 32000-1: startxref names the byte at which the table begins (7.5.5), and
// PrintScaling stands among the viewer's preferences of the catalogue (table 150).
func TestTheSameBytesAndATableWhereItIsSaidToBe(t *testing.T) {
	write := func() []byte {
		d := New(Letter, true, "A <title> (with) brackets", made)
		d.AddPage()
		d.Face(3, false)
		for i, word := range []string{"né Ωμέγα Жук", "שלום \u202eevil", "🫀 )Tj ET", strings.Repeat("long ", 4000)} {
			d.At(10, 20+10*float64(i), word)
			assert.NotEmpty(t, d.Wrapped(word, 40))
		}
		var b bytes.Buffer
		require.NoError(t, d.Close(&b))
		return b.Bytes()
	}
	pdf := write()
	for range 5 {
		require.True(t, bytes.Equal(pdf, write()), "the same document is the same bytes")
	}
	_, after, ok := bytes.Cut(pdf, []byte("\nstartxref\n"))
	require.True(t, ok)
	digits, _, _ := bytes.Cut(after, []byte("\n"))
	table, err := strconv.Atoi(string(digits))
	require.NoError(t, err)
	assert.Equal(t, "xref", string(pdf[table:table+4]))
	assert.Contains(t, string(pdf[bytes.LastIndex(pdf, []byte("/Type /Catalog")):table]), "/PrintScaling /None")
}

func TestHarmlessWords(t *testing.T) {
	for in, want := range map[string]string{
		"Ann  O'Neil\n":         "Ann O'Neil",
		"\u202egnp.exe\u200f":   "gnp.exe",
		"a\x00b\x1b[31m":        "ab[31m",
		"🫀":                     "�",
		"":                      "",
		strings.Repeat("x", 50): strings.Repeat("x", 19) + "…",
	} {
		assert.Equal(t, want, Harmless(in, 20), "%q", in)
	}
}
