package main

import (
	"github.com/spf13/cobra"

	"telltrace/scenarios/script"
	"telltrace/scoring/drill"
	"telltrace/scoring/ectopics"
	"telltrace/scoring/readiness"
)

// newSchema prints the form of the files that educators write, for editors.
func newSchema(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "schema [scenario|drill|readiness|ectopics]",
		Short: "Print the JSON Schema of the files that educators write, for completion in an editor",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			what := "scenario"
			if len(args) == 1 {
				var err error
				if what, err = oneOf("kind of file", args[0], []string{"scenario", "drill", "readiness", "ectopics"}); err != nil {
					return err
				}
			}
			switch what {
			case "drill":
				return writeJSON(c.out, drill.Schema())
			case "readiness":
				return writeJSON(c.out, readiness.Schema())
			case "ectopics":
				return writeJSON(c.out, ectopics.Schema())
			}
			_, err := c.out.Write(script.Schema())
			return err
		},
	}
}
