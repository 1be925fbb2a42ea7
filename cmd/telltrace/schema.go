package main

import (
	"github.com/spf13/cobra"

	"telltrace/scenarios/script"
	"telltrace/scoring/drill"
)

// newSchema prints the form of the files that educators write, for editors.
func newSchema(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "schema [scenario|drill]",
		Short: "Print the JSON Schema of scenario or drill files, for completion in an editor",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			what := "scenario"
			if len(args) == 1 {
				var err error
				if what, err = oneOf("kind of file", args[0], []string{"scenario", "drill"}); err != nil {
					return err
				}
			}
			if what == "drill" {
				return writeJSON(c.out, drill.Schema())
			}
			_, err := c.out.Write(script.Schema())
			return err
		},
	}
}
