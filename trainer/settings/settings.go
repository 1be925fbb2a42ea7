// Package settings keeps the few choices about the screen that outlive the program:
// a small JSON file in the user's configuration folder. Load reads it, Save writes
// it; everything else about a learner is in the ledger.
package settings

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"telltrace/synth/near"
	"telltrace/trainer/look"
)

// Settings are what was chosen. The zero value is the usual look.
type Settings struct {
	Glyphs    look.Glyphs  // "" for the usual ones
	Palette   look.Palette // "" for the usual one
	StillPage bool         // a page that changes at once instead of a scrolling strip
	IEC       bool         // clips of electrodes are lettered and coloured by IEC, not by AAMI

	// ExtraTime is how much longer a learner has where an answer must be given in
	// time, in %; a learner who is not in it has none. It is the learner's own matter
	// and stands in no report.
	ExtraTime map[string]int
}

// ExtraTimes are the values of ExtraTime that are offered, %.
var ExtraTimes = []int{0, 25, 50, 100}

// Allowed is how long a learner has where others have so long.
func (s Settings) Allowed(learner string, usual time.Duration) time.Duration {
	return usual + usual*time.Duration(s.ExtraTime[learner])/100
}

// Options is the look that was chosen.
func (s Settings) Options() look.Options {
	return look.Options{Palette: s.Palette, Glyphs: s.Glyphs}
}

// DefaultPath is telltrace/settings.json in the configuration folder of the
// operating system (XDG_CONFIG_HOME and its equivalents).
func DefaultPath() string {
	return filepath.Join(xdg.ConfigHome, "telltrace", "settings.json")
}

// most is the size of the largest file that is read, bytes. Ours has about a
// hundred.
const most = 64 << 10

// The names of the fields in the file.
const (
	glyphsField  = "glyphs"
	paletteField = "palette"
	stillField   = "still_page"
	extraField   = "extra_time_percent"
	iecField     = "iec_electrodes"
)

// Load reads the file. found is false when there is none: the very first start. A
// file that cannot be understood is an error that says where and what; the
// settings are then the usual ones.
func Load(path string) (s Settings, found bool, err error) {
	fields, found, err := read(path)
	if err != nil || !found {
		return Settings{}, found, err
	}
	for _, f := range []struct {
		name  string
		value any
	}{{glyphsField, &s.Glyphs}, {paletteField, &s.Palette}, {stillField, &s.StillPage}, {extraField, &s.ExtraTime}, {iecField, &s.IEC}} {
		raw, ok := fields[f.name]
		if !ok {
			continue
		}
		if err := json.Unmarshal(raw, f.value); err != nil {
			return Settings{}, true, broken(path, "%s cannot be %s", f.name, raw)
		}
	}
	if err := s.check(path); err != nil {
		return Settings{}, true, err
	}
	return s, true, nil
}

// Save writes the file in one step, so that a program that dies in between leaves
// the old one. Fields it does not know are kept. A file that cannot be understood is
// not written over.
func Save(path string, s Settings) error {
	if err := s.check(path); err != nil {
		return err
	}
	fields, _, err := read(path)
	if err != nil {
		return err
	}
	if fields == nil {
		fields = map[string]json.RawMessage{}
	}
	values := map[string]any{glyphsField: s.Glyphs, paletteField: s.Palette, stillField: s.StillPage}
	if _, was := fields[iecField]; was || s.IEC {
		values[iecField] = s.IEC
	}
	if len(s.ExtraTime) > 0 {
		values[extraField] = s.ExtraTime
	}
	for name, value := range values {
		if fields[name], err = json.Marshal(value); err != nil {
			return fmt.Errorf("settings: %s: %w", name, err)
		}
	}
	text, err := json.MarshalIndent(fields, "", "  ")
	if err != nil {
		return fmt.Errorf("settings: %w", err)
	}
	return replace(path, append(text, '\n'))
}

// read returns the fields of the file, nil when there is none.
func read(path string) (fields map[string]json.RawMessage, found bool, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false, nil
	}
	if err != nil {
		return nil, true, fmt.Errorf("settings cannot be read: %w", err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, true, fmt.Errorf("settings cannot be read: %w", err)
	}
	if len(text) > most {
		return nil, true, broken(path, "the file has more than %d bytes", most)
	}
	err = json.Unmarshal(text, &fields)
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		line, column := place(text, syntax.Offset)
		return nil, true, broken(fmt.Sprintf("%s:%d:%d", path, line, column), "%v", syntax)
	case err != nil || fields == nil:
		return nil, true, broken(path, "the file is not one JSON object")
	}
	return fields, true, nil
}

// place is the line and column of the character before a byte offset, from 1.
func place(text []byte, offset int64) (line, column int) {
	before := text[:max(min(int(offset)-1, len(text)), 0)]
	return 1 + bytes.Count(before, []byte{'\n'}), len(before) - bytes.LastIndexByte(before, '\n')
}

// broken says what is wrong with a file and what to do.
func broken(where, format string, args ...any) error {
	return fmt.Errorf("%s: %s; mend the file or move it away, the usual settings serve until then", where, fmt.Sprintf(format, args...))
}

// check refuses values that are none.
func (s Settings) check(path string) error {
	if s.Glyphs != "" && !slices.Contains(look.GlyphSets, s.Glyphs) {
		return broken(path, "%s", oneOf(glyphsField, s.Glyphs, look.GlyphSets))
	}
	if s.Palette != "" && !slices.Contains(look.Palettes, s.Palette) {
		return broken(path, "%s", oneOf(paletteField, s.Palette, look.Palettes))
	}
	for learner, percent := range s.ExtraTime {
		if !slices.Contains(ExtraTimes, percent) {
			return broken(path, "%s of %q is %d, none of %v", extraField, learner, percent, ExtraTimes)
		}
	}
	return nil
}

func oneOf[T ~string](field string, value T, known []T) string {
	words := make([]string, len(known))
	for i, k := range known {
		words[i] = string(k)
	}
	said := fmt.Sprintf("%s %q is none of %s", field, value, strings.Join(words, ", "))
	if best, ok := near.Word(string(value), words); ok {
		said += fmt.Sprintf("; did you mean %q?", best)
	}
	return said
}

// replace puts a new file in the place of the old one. Where that is a link, the
// file it leads to is replaced and the link stays.
func replace(path string, text []byte) (err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return fmt.Errorf("settings cannot be kept: %w", err)
	}
	f, err := os.CreateTemp(folder, ".settings-*")
	if err != nil {
		return fmt.Errorf("settings cannot be kept: %w", err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
			err = fmt.Errorf("settings cannot be kept: %w", err)
		}
	}()
	if _, err := f.Write(text); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
