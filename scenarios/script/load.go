package script

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"slices"

	"telltrace/scenarios/strict"
)

// LoadFile is Load for a file on disk. A file that cannot be read at all is an error of
// another type than strict.Faults.
func LoadFile(path string) (*Scenario, error) {
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Load(path, src)
}

// Load reads a scenario, strictly: the error is strict.Faults with everything that is
// wrong. file is what the faults call the file.
func Load(file string, src []byte) (*Scenario, error) {
	s := new(Scenario)
	doc, faults := strict.Read(file, src, s, lists())
	for _, f := range meaning(s, doc, len(faults) == 0) {
		told := slices.ContainsFunc(faults, func(x strict.Fault) bool { return x.Line == f.Line })
		if !told {
			faults = append(faults, f)
		}
	}
	if len(faults) == 0 {
		return s, nil
	}
	slices.SortStableFunc(faults, func(a, b strict.Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return nil, faults
}

// Schema is the form of a scenario file as a JSON Schema (draft 2020-12), indented. It says
// what Load holds every value to by itself; what one value has to do with another
// (where a branch leads, what is shown at which age) only Load knows.
func Schema() []byte {
	out, err := json.MarshalIndent(strict.Schema("telltrace scenario: training only", Scenario{}, lists()), "", "  ")
	if err != nil {
		panic(fmt.Sprintf("script: schema: %v", err)) // maps of texts and numbers only
	}
	return append(out, '\n')
}
