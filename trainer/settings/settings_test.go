package settings

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/look"
)

func fileWith(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "settings.json")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestNoFileIsTheFirstStart(t *testing.T) {
	s, found, err := Load(filepath.Join(t.TempDir(), "telltrace", "settings.json"))
	require.NoError(t, err)
	assert.False(t, found)
	assert.Equal(t, Settings{}, s)
}

func TestSaveThenLoad(t *testing.T) {
	path := filepath.Join(t.TempDir(), "not", "there", "settings.json")
	want := Settings{Glyphs: look.HalfBlock, Palette: look.Light, StillPage: true, ExtraTime: map[string]int{"me": 50}}
	require.NoError(t, Save(path, want))
	got, found, err := Load(path)
	require.NoError(t, err)
	assert.True(t, found)
	assert.Equal(t, want, got)
	assert.Equal(t, look.Options{Palette: look.Light, Glyphs: look.HalfBlock}, got.Options())

	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1, "the temporary file is gone")
}

func TestUnknownFieldsAreKept(t *testing.T) {
	path := fileWith(t, `{"palette": "dark", "from_a_later_version": {"a": [1, 2]}}`)
	s, _, err := Load(path)
	require.NoError(t, err)
	s.Palette = look.HighContrast
	require.NoError(t, Save(path, s))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var fields map[string]any
	require.NoError(t, json.Unmarshal(text, &fields))
	assert.Equal(t, "high-contrast", fields["palette"])
	assert.Equal(t, map[string]any{"a": []any{1.0, 2.0}}, fields["from_a_later_version"])
}

func TestBrokenFiles(t *testing.T) {
	for _, tt := range []struct{ name, text, says string }{
		{"empty", "", ":1:1: unexpected end of JSON input"},
		{"cut off", "{\n  \"palette\": \"da", ":2:"},
		{"a comma too many", "{\n  \"palette\": \"dark\",\n}", ":3:1: invalid character '}'"},
		{"a list", "[1]", "not one JSON object"},
		{"null", "null", "not one JSON object"},
		{"unknown palette", `{"palette": "drak"}`, `palette "drak" is none of dark, light, high-contrast, none; did you mean "dark"?`},
		{"unknown glyphs", `{"glyphs": "emoji"}`, `glyphs "emoji" is none of braille, half-block, ascii`},
		{"another kind", `{"still_page": "yes"}`, `still_page cannot be "yes"`},
		{"too large", `{"x": "` + strings.Repeat("x", most) + `"}`, "more than 65536 bytes"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := fileWith(t, tt.text)
			s, found, err := Load(path)
			require.Error(t, err)
			assert.True(t, found, "a broken file is not the first start")
			assert.Equal(t, Settings{}, s)
			assert.Contains(t, err.Error(), tt.says)
			assert.Contains(t, err.Error(), path)
			assert.Contains(t, err.Error(), "mend the file")
		})
	}
}

func TestABrokenFileIsNotWrittenOver(t *testing.T) {
	path := fileWith(t, `{"palette": `)
	assert.ErrorContains(t, Save(path, Settings{Palette: look.Light}), "mend the file")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, `{"palette": `, string(text))
}

func TestSaveRefusesWhatLoadWould(t *testing.T) {
	path := filepath.Join(t.TempDir(), "settings.json")
	assert.Error(t, Save(path, Settings{Glyphs: "emoji"}))
	assert.NoFileExists(t, path)
}

func TestAFolderThatCannotBe(t *testing.T) {
	file := fileWith(t, "{}")
	path := filepath.Join(file, "settings.json") // a folder that is a file
	_, found, err := Load(path)
	assert.True(t, found)
	assert.ErrorContains(t, err, "settings cannot be read")
	assert.ErrorContains(t, Save(path, Settings{}), "settings cannot be")
}

// Configuration is often a link into a folder that is kept elsewhere.
func TestALinkStaysALink(t *testing.T) {
	real := fileWith(t, "{}")
	link := filepath.Join(t.TempDir(), "settings.json")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no links here: ", err)
	}
	require.NoError(t, Save(link, Settings{Palette: look.Light}))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
	s, _, err := Load(real)
	require.NoError(t, err)
	assert.Equal(t, look.Light, s.Palette)
}

// Extra time as examinations give it, a share of the usual time (common practice).
func TestExtraTimeIsTheLearnersOwn(t *testing.T) {
	s := Settings{ExtraTime: map[string]int{"me": 25}}
	assert.Equal(t, 25*time.Second, s.Allowed("me", 20*time.Second))
	assert.Equal(t, 20*time.Second, s.Allowed("somebody else", 20*time.Second))
	_, _, err := Load(fileWith(t, `{"extra_time_percent": {"me": -3}}`))
	assert.ErrorContains(t, err, "none of [0 25 50 100]")
}
