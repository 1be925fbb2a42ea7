package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"telltrace/scoring/ectopics"
	"telltrace/scoring/readiness"
)

// rulesFlags name the files that an educator may put in the place of ours.
type rulesFlags struct{ readiness, ectopics string }

// ownRules is where a file of one's own is looked for when none is named.
func ownRules(name string) string { return filepath.Join(xdg.ConfigHome, "telltrace", name+".yaml") }

func (r *rulesFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&r.readiness, "rules", "", "file that says when a learner is called ready (default "+ownRules("readiness")+" where there is one)")
	flags.StringVar(&r.ectopics, "notify", "", "file that says when early beats are told (default "+ownRules("ectopics")+" where there is one)")
}

// load reads the rules: the file named, else the one in the configuration folder, else ours.
func (r *rulesFlags) load() (readiness.Rules, ectopics.Values, error) {
	rules, values := readiness.Default(), ectopics.Default()
	text, path, err := ownText(r.readiness, "readiness")
	if err == nil && text != nil {
		rules, err = readiness.Parse(path, text)
	}
	if err != nil {
		return rules, values, err
	}
	if text, path, err = ownText(r.ectopics, "ectopics"); err == nil && text != nil {
		values, err = ectopics.Parse(path, text)
	}
	return rules, values, err
}

// ownText reads a file of one's own; nil when none is named and there is none.
func ownText(named, name string) (text []byte, path string, err error) {
	path = named
	if path == "" {
		path = ownRules(name)
	}
	text, err = os.ReadFile(path)
	if named == "" && errors.Is(err, fs.ErrNotExist) {
		return nil, path, nil
	}
	return text, path, err
}

// newRules shows the rules that are in force, or the files to be edited.
func newRules(c *console) *cobra.Command {
	var r rulesFlags
	cmd := &cobra.Command{
		Use:   "rules [readiness|ectopics]",
		Short: "When a learner is called ready, and when early beats are told",
		Long: "Say by which rules a learner is called ready. With readiness or ectopics: print the file that\n" +
			"comes with telltrace, to be edited and named with --rules or --notify; telltrace check finds its faults.",
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 1 {
				what, err := oneOf("kind of rules", args[0], []string{"readiness", "ectopics"})
				if err != nil {
					return err
				}
				_, err = c.out.Write(map[string][]byte{"readiness": readiness.BuiltIn(), "ectopics": ectopics.BuiltIn()}[what])
				return err
			}
			rules, values, err := r.load()
			if err != nil {
				return err
			}
			fmt.Fprintln(c.out, "A learner is called ready, by check strips alone:")
			for _, line := range rules.Words() {
				fmt.Fprintln(c.out, "-", line)
			}
			fmt.Fprintln(c.out, "Early ventricular beats are told:")
			for _, line := range values.Words() {
				fmt.Fprintln(c.out, "-", line)
			}
			fmt.Fprintln(c.out, "Ready here is no licence to practise: local policy and the educator decide.")
			return nil
		},
	}
	r.add(cmd.Flags())
	return cmd
}
