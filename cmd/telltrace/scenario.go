package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"telltrace/scenarios/library"
	"telltrace/scenarios/script"
	"telltrace/trainer"
	"telltrace/trainer/screen"
)

// newScenario opens the trainer at the bedside.
func newScenario(c *console) *cobra.Command {
	var f trainerFlags
	var source bool
	cmd := &cobra.Command{
		Use:   "scenario [NAME|FILE]",
		Short: "A patient at the bedside; without a name list them",
		Long: "A patient at the bedside: look, decide, do; then see what was expected. Without a name the scenarios that come\n" +
			"along are listed. A file of your own ends in .yaml; telltrace check tells what is wrong in it.",
		Example: "  telltrace scenario flat-at-night\n  telltrace scenario flat-at-night --source > mine.yaml\n  telltrace check mine.yaml",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				for _, s := range library.All() {
					if _, err := fmt.Fprintf(c.out, "%-24s %-10s %s\n", s.Name, s.Patient.Age.Exact().Words(), s.Title); err != nil {
						return err
					}
				}
				return nil
			}
			if source {
				text, err := library.Source(args[0])
				if err != nil {
					return err
				}
				_, err = c.out.Write(text)
				return err
			}
			s, err := findScenario(args[0])
			if err != nil {
				return err
			}
			f.seeded = cmd.Flags().Changed("seed")
			return f.run(c, func(env *screen.Env) screen.Screen { return trainer.Scenario(env, s) })
		},
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&source, "source", false, "write the text of the scenario, to be copied and changed")
	return cmd
}

// findScenario is one of the library, or a file: what ends in .yaml or has a folder.
func findScenario(arg string) (*script.Scenario, error) {
	ext := strings.ToLower(filepath.Ext(arg))
	if ext == ".yaml" || ext == ".yml" || strings.ContainsRune(arg, filepath.Separator) {
		return script.LoadFile(arg)
	}
	s, err := library.Find(arg)
	if err != nil {
		return nil, fmt.Errorf("%w; a file ends in .yaml", err)
	}
	return s, nil
}
