package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"telltrace/scoring/handin"
	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/sqlite"
)

// openStore opens the ledger of a --store flag.
func openStore(at string) (*sqlite.Store, error) {
	path := strings.TrimPrefix(at, "sqlite://")
	if path == "" {
		path = ledger.DefaultPath()
	}
	return sqlite.Open(path)
}

// newHandIn writes a learner's answers into one file.
func newHandIn(c *console) *cobra.Command {
	var store, out string
	var s handin.Sender
	cmd := &cobra.Command{
		Use:   "hand-in",
		Short: "Write your answers into one file for your educator",
		Long: "Write your answers into one file for your educator, who collects it into the ledger of the class.\n" +
			"Hand in as often as you like: no answer counts twice.",
		Example: "  telltrace hand-in --as 'A. Nurse' --out a-nurse.handin",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if out == "" {
				return errors.New("--out: name the file to write")
			}
			from, err := openStore(store)
			if err != nil {
				return err
			}
			defer from.Close()
			file, err := os.OpenFile(out, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
			if errors.Is(err, os.ErrExist) {
				return fmt.Errorf("--out %s: is there already; name another file", out)
			}
			if err != nil {
				return fmt.Errorf("--out: %w", err)
			}
			s.Made = c.now()
			n, err := handin.Write(cmd.Context(), file, from, s)
			if err = errors.Join(err, file.Close()); err == nil && n == 0 {
				err = fmt.Errorf("the ledger has no answers of %q; --learner says whose", s.Learner)
			}
			if err != nil {
				return errors.Join(err, os.Remove(out))
			}
			c.say("%d answers of %q written to %s", n, s.Learner, out)
			return nil
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&store, "store", "", "file that keeps the answers (default "+ledger.DefaultPath()+")")
	flags.StringVar(&s.Learner, "learner", "me", "whose answers")
	flags.StringVar(&s.As, "as", "", "the name to hand them in under")
	flags.StringVar(&s.Word, "word", "", "the word the class agreed on, to seal the file with")
	flags.StringVar(&out, "out", "", "the file to write")
	return cmd
}

// newCollect merges handed-in files into a ledger.
func newCollect(c *console) *cobra.Command {
	var store, word string
	cmd := &cobra.Command{
		Use:   "collect FILE...",
		Short: "Merge handed-in files into the ledger of the class",
		Long: "Merge handed-in files into the ledger of the class. Any number, in any order, again and again:\n" +
			"no answer counts twice. A file that was changed or cut off is named and left out whole.",
		Example: "  telltrace collect --store class.db *.handin",
		RunE: func(cmd *cobra.Command, files []string) error {
			if len(files) == 0 {
				return errors.New("collect: name the files that were handed in")
			}
			to, err := openStore(store)
			if err != nil {
				return err
			}
			defer to.Close()
			answers, added, refused := 0, 0, 0
			for _, name := range files {
				r, err := collectFile(cmd, to, name, word)
				if err != nil {
					refused++
					c.say("%v", err)
					continue
				}
				answers, added = answers+r.Answers, added+r.Added
				fmt.Fprintf(c.out, "%s: %q, %d answers, %d of them new\n", name, r.Learner, r.Answers, r.Added)
			}
			if len(files) > 1 {
				fmt.Fprintf(c.out, "%d files, %d answers, %d of them new\n", len(files)-refused, answers, added)
			}
			if refused > 0 {
				return fmt.Errorf("%d of %d files were left out; what the others hold is in the ledger", refused, len(files))
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&store, "store", "", "file that keeps the answers of the class (default "+ledger.DefaultPath()+")")
	cmd.Flags().StringVar(&word, "word", "", "the word the class agreed on")
	return cmd
}

func collectFile(cmd *cobra.Command, to ledger.Store, name, word string) (handin.Received, error) {
	file, err := os.Open(name)
	if err != nil {
		return handin.Received{}, err
	}
	defer file.Close()
	return handin.Collect(cmd.Context(), to, name, file, word)
}
