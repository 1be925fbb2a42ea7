// Package library is the set of scenarios that comes with the program: one invented
// ward, newborn to adult, a YAML file for each (see package script for the form). In
// at least a third of them nothing needs doing.
package library

import (
	"embed"
	"fmt"
	"io/fs"
	"strings"
	"sync"

	"telltrace/scenarios/script"
	"telltrace/synth/near"
)

//go:embed *.yaml
var files embed.FS

// All lists the scenarios in the order of their names. They are shared: leave them
// as they are.
var All = sync.OnceValue(func() []*script.Scenario {
	paths, err := fs.Glob(files, "*.yaml")
	if err != nil {
		panic(err) // the pattern is fixed
	}
	var all []*script.Scenario
	for _, path := range paths {
		src, err := files.ReadFile(path)
		if err == nil {
			var s *script.Scenario
			if s, err = script.Load(path, src); err == nil {
				all = append(all, s)
			}
		}
		if err != nil {
			panic(fmt.Sprintf("library: %v", err)) // a test reads every file
		}
	}
	return all
})

// Find is the scenario of a name; the error suggests the nearest name.
func Find(name string) (*script.Scenario, error) {
	var names []string
	for _, s := range All() {
		if string(s.Name) == name {
			return s, nil
		}
		names = append(names, string(s.Name))
	}
	if best, ok := near.Word(name, names); ok {
		return nil, fmt.Errorf("unknown scenario %q; did you mean %q?", name, best)
	}
	return nil, fmt.Errorf("unknown scenario %q; known: %s", name, strings.Join(names, ", "))
}

// Source is the text of a scenario's file, to be copied and changed.
func Source(name string) ([]byte, error) {
	if _, err := Find(name); err != nil {
		return nil, err
	}
	return files.ReadFile(name + ".yaml")
}
