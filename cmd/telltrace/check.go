package main

import (
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"telltrace/scenarios/script"
	"telltrace/scenarios/strict"
	"telltrace/scoring/drill"
	"telltrace/scoring/ectopics"
	"telltrace/scoring/readiness"
)

// errFaulty says that files were found faulty, which has been told already.
var errFaulty = errors.New("there are faults")

// newCheck holds the files that educators write to their form.
func newCheck(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE...",
		Short: "Check files of scenarios, drills and rules: every fault with its place, and how to mend it",
		Long: "Check files of scenarios, drills and rules (YAML): every fault as file:line:column, what is wrong, and the nearest word.\n" +
			"Exit code 0: all in order. 1: faults were found. 2: a file cannot be read.",
		Args: atLeastOneFile,
		RunE: func(_ *cobra.Command, paths []string) error {
			var unread []string
			faulty := false
			for _, path := range paths {
				is, err := checkFile(path)
				var faults strict.Faults
				switch {
				case errors.As(err, &faults):
					faulty = true
					fmt.Fprintln(c.out, faults)
				case err != nil:
					unread = append(unread, err.Error())
				default:
					fmt.Fprintf(c.out, "%s: in order: %s.\n", path, is)
				}
			}
			if len(unread) > 0 {
				return errors.New(strings.Join(unread, "; "))
			}
			if faulty {
				return errFaulty
			}
			return nil
		},
	}
}

// A key that only one kind of file has: a drill its name, readiness rules the days on which
// they lapse, the values of early beats those from which they are told.
var (
	drillKey     = regexp.MustCompile(`(?m)^drill\s*:`)
	readinessKey = regexp.MustCompile(`(?m)^(recheck-days|harmless)\s*:`)
	ectopicsKey  = regexp.MustCompile(`(?m)^notify\s*:`)
)

// checkFile says what a file is when nothing is wrong with it.
func checkFile(path string) (string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	switch {
	case readinessKey.Match(text):
		_, err := readiness.Parse(path, text)
		return "readiness rules", err
	case ectopicsKey.Match(text):
		_, err := ectopics.Parse(path, text)
		return "when early beats are told", err
	case drillKey.Match(text):
		d, err := drill.Parse(path, text)
		return fmt.Sprintf("the drill %s, %d strips", d.Name, d.Strips), err
	}
	s, err := script.Load(path, text)
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("the scenario %s, %d episodes", s.Name, len(s.Episodes)), nil
}

func atLeastOneFile(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("%s wants a file, as in %s ward.yaml", cmd.CommandPath(), cmd.CommandPath())
	}
	return nil
}
