package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/scoring/report"
	"telltrace/synth"
	"telltrace/trainer/look"
)

// newReport writes what a class or a learner has come to.
func newReport(c *console) *cobra.Command {
	var store, class, learner, format, out string
	var files []string
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write what a class or a learner has come to, to read, print or file",
		Long: "Write what a class or a learner has come to: readiness, what must not be missed, confusions, items,\n" +
			"and a record to sign for each learner. Rules of drills of your own are taken from --drill FILE.",
		Example: "  telltrace report --class autumn --store class.db --format html --out autumn.html\n" +
			"  telltrace report --learner ann",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			format, err := oneOf("format", format, report.Formats)
			if err != nil {
				return err
			}
			if format == report.PDF && (out == "" || out == "-") && c.columns > 0 {
				return fmt.Errorf("a terminal cannot show a pdf: give --out, as in --out report.pdf")
			}
			drills, _ := drill.Library()
			for _, file := range files {
				d, _, err := findDrill(file)
				if err != nil {
					return err
				}
				drills = append(drills, d)
			}
			r := report.New(report.Settings{Class: class, Learner: learner, Made: c.now(), Location: time.Local,
				Lessons: synth.Lessons(), Rules: readiness.Default(), Drills: drills, Caution: look.Caution})
			if err := c.fold(cmd.Context(), store, ledger.Query{Class: class, Learner: learner}, r); err != nil {
				return err
			}
			return c.writeTo(out, func(w io.Writer) error { return r.Write(format, w) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&store, "store", "", "file that keeps the answers (default "+ledger.DefaultPath()+")")
	f.StringVar(&class, "class", "", "only answers given in this class")
	f.StringVar(&learner, "learner", "", "only this learner")
	f.StringVar(&format, "format", string(report.Text), "text, html, pdf, csv, json or xapi")
	f.StringVar(&out, "out", "", "write to this path")
	f.StringSliceVar(&files, "drill", nil, "files of drills whose rules are to be known, beside those that come along")
	return cmd
}

// fold reads the answers into the report learner by learner, some learners at once, and
// draws how far it is where that takes long.
func (c *console) fold(ctx context.Context, store string, q ledger.Query, r *report.Report) error {
	from, err := openStore(store)
	if err != nil {
		return err
	}
	defer from.Close()
	learners := []string{q.Learner}
	if q.Learner == "" {
		if learners, err = from.Learners(ctx); err != nil {
			return err
		}
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	type read struct {
		answers []ledger.Answer
		err     error
	}
	// Each reader takes every so-manieth learner; they are folded in their order.
	readers := make([]chan read, min(runtime.NumCPU(), 8))
	var done sync.WaitGroup
	defer done.Wait()
	defer stop()
	for w := range readers {
		readers[w] = make(chan read, 1)
		done.Go(func() {
			for i := w; i < len(learners); i += len(readers) {
				// Of both conditions the store may follow the class, which has everybody's answers.
				answers, err := ledger.Collect(from.Answers(ctx, ledger.Query{Learner: learners[i]}))
				if q.Class != "" {
					answers = slices.DeleteFunc(answers, func(a ledger.Answer) bool { return a.Class != q.Class })
				}
				select {
				case readers[w] <- read{answers, err}:
				case <-ctx.Done():
					return
				}
			}
		})
	}
	const long, wide = 100_000, 30 // answers from which on it is drawn, columns of the bar
	n, drawn := 0, -1
	for i := range learners {
		got := <-readers[i%len(readers)]
		if got.err != nil {
			return got.err
		}
		for _, a := range got.answers {
			r.Add(a)
		}
		n += len(got.answers)
		if at := (i + 1) * wide / len(learners); n >= long && at > drawn {
			drawn = at
			fmt.Fprintf(c.err, "\r[%s%s] %d of %d learners", strings.Repeat("#", at), strings.Repeat("-", wide-at), i+1, len(learners))
		}
	}
	if drawn >= 0 {
		fmt.Fprintln(c.err)
	}
	if n == 0 {
		return fmt.Errorf("the ledger has no such answers: --store, --class and --learner say which")
	}
	return nil
}
