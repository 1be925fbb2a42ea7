package record

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Annotators lists the annotators whose files lie beside a WFDB record, the
// reference annotator first, then by name. path is the record, with or without
// extension. Files are told by what they hold, not by their name.
func Annotators(path string) []string {
	_, full, err := find(path)
	if err != nil {
		return nil
	}
	base := strings.TrimSuffix(full, filepath.Ext(full))
	entries, err := os.ReadDir(filepath.Dir(base))
	if err != nil {
		return nil
	}
	others := allExtensions()
	if h, err := readHeader(base + ".hea"); err == nil {
		for _, s := range h.signals {
			others = append(others, filepath.Ext(s.file))
		}
	}
	var names []string
	for _, e := range entries {
		name, ok := strings.CutPrefix(e.Name(), filepath.Base(base)+".")
		if !ok || !e.Type().IsRegular() || strings.Contains(name, ".") || slices.Contains(others, "."+name) {
			continue
		}
		if anns, err := ReadAnnotations(base + "." + name); err == nil && len(anns) > 0 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	if i := slices.Index(names, ReferenceAnnotator); i > 0 {
		names = slices.Insert(slices.Delete(names, i, i+1), 0, ReferenceAnnotator)
	}
	return names
}
