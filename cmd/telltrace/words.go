package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/synth/near"
	"telltrace/synth/norms"
)

// readingCaution stands under what was read from a recording, which is not
// synthetic.
const readingCaution = "Training only: a reading is not a diagnosis and not for patient care. Look at the patient first."

// maxSeconds is the longest strip that is made or read at once, s.
const maxSeconds = 3600

// oneOf finds a word in a list, small or capital letters alike. The error suggests
// the nearest one, or lists them all.
func oneOf[T ~string](what, word string, known []T) (T, error) {
	names := make([]string, len(known))
	for i, k := range known {
		if strings.EqualFold(word, string(k)) {
			return k, nil
		}
		names[i] = string(k)
	}
	if best, ok := nearest(word, names); ok {
		return "", fmt.Errorf("unknown %s %q; did you mean %q?", what, word, best)
	}
	return "", fmt.Errorf("unknown %s %q; known: %s", what, word, strings.Join(names, ", "))
}

// nearest is near.Word for words written with capital letters too.
func nearest(word string, names []string) (string, bool) {
	lower := make([]string, len(names))
	for i, n := range names {
		lower[i] = strings.ToLower(n)
	}
	best, ok := near.Word(word, lower)
	for i := range names {
		if ok && lower[i] == best {
			return names[i], true
		}
	}
	return "", false
}

// leadsOf reads a list of leads separated by commas.
func leadsOf(words []string, known []ecg.Lead) ([]ecg.Lead, error) {
	var leads []ecg.Lead
	for _, w := range words {
		l, err := oneOf("lead", strings.TrimSpace(w), known)
		if err != nil {
			return nil, err
		}
		for _, have := range leads {
			if have == l {
				return nil, fmt.Errorf("--leads: lead %s is named twice", l)
			}
		}
		leads = append(leads, l)
	}
	return leads, nil
}

// ageOf reads --age, and says nothing of an age that was not given.
func ageOf(word string) (age ecg.Age, given bool, err error) {
	if word == "" {
		return ecg.Age{}, false, nil
	}
	age, err = norms.ParseAge(word)
	return age, true, err
}

// checkStretch refuses a stretch of time that cannot be.
func checkStretch(at, seconds float64) error {
	if !(at >= 0 && at <= 1e9) {
		return fmt.Errorf("--at %g: want the seconds from the start of the recording", at)
	}
	if !(seconds > 0 && seconds <= maxSeconds) {
		return fmt.Errorf("--seconds %g: want more than 0 and at most %d", seconds, maxSeconds)
	}
	return nil
}

// checkOut refuses a path that cannot be written to before any work is done: its
// folder is missing, it is a folder itself, or it would overwrite one of the
// recording's own files. recording is "" where there is none.
func checkOut(path, recording string) error {
	if path == "" || path == "-" {
		return nil
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: the folder %s does not exist; make it first", path, folder)
	} else if err != nil {
		return err
	} else if !info.IsDir() {
		return fmt.Errorf("%s: %s is not a folder", path, folder)
	}
	// Other files may be overwritten, as with any redirection; a recording cannot be
	// had again.
	there, err := os.Stat(path)
	if err != nil {
		return nil // nothing lies there
	}
	if there.IsDir() {
		return fmt.Errorf("%s: is a folder; name a file in it", path)
	}
	for _, own := range filesOf(recording) {
		if info, err := os.Stat(own); err == nil && os.SameFile(info, there) {
			return fmt.Errorf("%s: belongs to the recording, which is left as it is; choose another name", path)
		}
	}
	return nil
}

// filesOf lists the files of a recording: those with its name and any extension.
func filesOf(recording string) []string {
	if recording == "" {
		return nil
	}
	base := strings.TrimSuffix(recording, filepath.Ext(recording))
	var files []string
	entries, err := os.ReadDir(filepath.Dir(recording))
	if err != nil {
		return nil
	}
	for _, e := range entries {
		path := filepath.Join(filepath.Dir(recording), e.Name())
		if ext := filepath.Ext(path); strings.TrimSuffix(path, ext) == filepath.Clean(base) || path == filepath.Clean(recording)+ext {
			files = append(files, path)
		}
	}
	return files
}

// writeTo writes to a path, "" or "-" for standard output. A file that could not be
// written whole is removed.
func (c *console) writeTo(path string, write func(io.Writer) error) error {
	if path == "" || path == "-" {
		return write(c.out)
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	err = write(f)
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		os.Remove(path)
	}
	return err
}
