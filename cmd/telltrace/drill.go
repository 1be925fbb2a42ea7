package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/scoring/report/pdf"
	"telltrace/trainer"
	"telltrace/trainer/figure"
	"telltrace/trainer/screen"
)

// errNotPassed ends a drill that was not passed, or not finished.
var errNotPassed = errors.New("not passed")

// newDrill runs a timed drill, or lists and prepares drills.
func newDrill(c *console) *cobra.Command {
	var f trainerFlags
	var source bool
	var judges int
	var marked string
	var paper printOrder
	cmd := &cobra.Command{
		Use:   "drill [NAME|FILE]",
		Short: "Run a timed drill; without a name list them",
		Long: "Run a timed drill: exit code 0 when it is passed, 1 when it is not, 2 on an error.\n" +
			"A drill is one that comes with telltrace, or a file that an educator wrote.",
		Example: "  telltrace drill arrest-rhythms --learner ann --class autumn\n" +
			"  telltrace drill arrest-rhythms --source > mine.yaml\n" +
			"  telltrace drill mine.yaml --worksheet 3 > judges.csv\n" +
			"  telltrace drill mine.yaml --pass-mark judges.csv\n" +
			"  telltrace drill mine.yaml --print quiz.pdf --answers",
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return listDrills(c)
			}
			d, text, err := findDrill(args[0])
			if err != nil {
				return err
			}
			switch {
			case source:
				_, err := c.out.Write(text)
				return err
			case judges > 0:
				return d.Worksheet(c.out, judges)
			case marked != "":
				return passMark(c, marked)
			case paper.out != "":
				return c.printDrill(d, paper)
			}
			f.seeded = cmd.Flags().Changed("seed")
			if err := f.run(c, func(env *screen.Env) screen.Screen { return trainer.Drill(env, d) }); err != nil {
				return err
			}
			return f.passed(cmd.Context(), d)
		},
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&source, "source", false, "write the text of the drill, to be copied and changed")
	cmd.Flags().IntVar(&judges, "worksheet", 0, "write the sheet on which so many judges set the pass mark (Angoff)")
	cmd.Flags().StringVar(&paper.out, "print", "", "write the strips on true-scale paper to this PDF")
	cmd.Flags().StringVar(&paper.page, "page", string(pdf.A4), "with --print: a4 or letter")
	cmd.Flags().StringVar(&paper.paper, "paper", string(figure.Pink), "with --print: squares, pink or grey")
	cmd.Flags().BoolVar(&paper.answers, "answers", false, "with --print: the answers on pages of their own at the end")
	cmd.Flags().IntVar(&paper.form, "form", 1, "with --print: which set of strips, for a retake")
	cmd.Flags().StringVar(&marked, "pass-mark", "", "work the pass mark out of a sheet that judges filled in")
	return cmd
}

// newClass opens the sheet on which an educator watches a class.
func newClass(c *console) *cobra.Command {
	var f trainerFlags
	cmd := &cobra.Command{
		Use:     "class [FILE...]",
		Short:   "Watch a class sit a drill: who is where, who has finished, what is confused",
		Long:    "Watch a class sit a drill: who is where, who has finished, what is confused. Drills of your own are named by their files.",
		Example: "  telltrace class --class autumn --store class.db",
		RunE: func(_ *cobra.Command, files []string) error {
			var drills []drill.Drill
			for _, file := range files {
				d, _, err := findDrill(file)
				if err != nil {
					return err
				}
				drills = append(drills, d)
			}
			return f.run(c, func(env *screen.Env) screen.Screen { return trainer.Class(env, drills...) })
		},
	}
	f.add(cmd)
	return cmd
}

// listDrills says which drills come with telltrace.
func listDrills(c *console) error {
	drills, _ := drill.Library()
	for _, d := range drills {
		if _, err := fmt.Fprintf(c.out, "%-20s %3d strips, %g s each   %s\n", d.Name, d.Strips, d.Seconds, d.About); err != nil {
			return err
		}
	}
	return nil
}

// findDrill reads a drill by its name or from its file.
func findDrill(arg string) (drill.Drill, []byte, error) {
	ext := strings.ToLower(filepath.Ext(arg))
	if ext != ".yaml" && ext != ".yml" && !strings.ContainsRune(arg, filepath.Separator) {
		d, err := drill.Find(arg)
		if err != nil {
			return d, nil, fmt.Errorf("%w; a file ends in .yaml", err)
		}
		drills, texts := drill.Library()
		for i := range drills {
			if drills[i].Name == d.Name {
				return d, texts[i], nil
			}
		}
	}
	text, err := os.ReadFile(arg)
	if err != nil {
		return drill.Drill{}, nil, err
	}
	d, err := drill.Parse(arg, text)
	return d, text, err
}

// passMark prints what judges' estimates come to.
func passMark(c *console, file string) error {
	in, err := os.Open(file)
	if err != nil {
		return err
	}
	defer in.Close()
	p, err := drill.Angoff(file, in)
	if err != nil {
		return err
	}
	for i, v := range p.Judges {
		fmt.Fprintf(c.out, "judge %d: %.1f %%\n", i+1, v)
	}
	_, err = fmt.Fprintf(c.out, "pass mark (mean of %d): %.1f %%; between judges SD %.1f, standard error %.1f\nin the drill: pass: {right: %.0f}\n",
		len(p.Judges), p.Mark, p.SD, p.SE, p.Mark)
	return err
}

// passed says whether the learner's last sitting was passed.
func (f *trainerFlags) passed(ctx context.Context, d drill.Drill) error {
	store, err := openStore(f.store)
	if err != nil {
		return err
	}
	defer store.Close()
	answers, err := ledger.Collect(store.Answers(ctx, ledger.Query{Learner: f.learner, Part: d.Part()}))
	if err != nil {
		return err
	}
	sittings := d.Sittings(answers)
	if n := len(sittings); n == 0 || !sittings[n-1].Finished(d) || !d.Decide(sittings[n-1]).Passed {
		return errNotPassed
	}
	return nil
}
