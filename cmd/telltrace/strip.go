package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"telltrace/scoring/report/pdf"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/record"
	"telltrace/trainer/figure"
	"telltrace/trainer/look"
)

// A stripOrder is the command line of strip.
type stripOrder struct {
	wfdb                           int // format of the signal file
	identity, from                 string
	age, severity, state, artifact string
	leads                          []string
	at, seconds                    float64
	rate, width                    int
	seed                           uint64
	plain                          bool
	format, out, truth, paper      string
	page                           string
	answers                        bool
	leadsGiven, formatGiven        bool
}

// A made is a strip with what is known of it, on its way out.
type made struct {
	id     ecg.Identity
	strip  ecg.Strip
	drawn  []ecg.Lead // the leads that text draws
	marks  ecg.Marks  // the truth; empty for a recording
	record ecg.Record // as wfdb keeps it
	rec    bool       // a recording
}

func newStrip(c *console) *cobra.Command {
	var o stripOrder
	cmd := &cobra.Command{
		Use:   "strip RHYTHM | --identity TEXT | --from RECORD",
		Short: "Make a strip, repeat one, or cut one from a recording",
		Long: "Make a strip, repeat one by its identity, or cut one from a recording.\n" +
			"CSV has time_s, then one column per lead in mV, then pleth where there is a pulse trace.",
		Example: "  telltrace strip ventricular-bigeminy --age 6y\n" +
			"  telltrace strip sinus-rhythm --artifact movement --format csv --out strip.csv --truth truth.json\n" +
			"  telltrace strip --identity '3/sinus-rhythm/10d/7;artifact=movement'\n" +
			"  telltrace strip asystole --format pdf --answers --out strip.pdf\n" +
			"  telltrace strip --from recordings/106 --at 70 --seconds 10",
		RunE: func(cmd *cobra.Command, args []string) error {
			o.leadsGiven = cmd.Flags().Changed("leads")
			o.formatGiven = cmd.Flags().Changed("format")
			if err := o.checkSource(cmd.Flags(), args); err != nil {
				return err
			}
			return c.strip(o, args)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.age, "age", "adult", "10d, 4mo, 6y or a band such as newborn")
	f.StringSliceVar(&o.leads, "leads", nil, "leads separated by commas; without it I, II and III, of which text draws II")
	f.Float64Var(&o.seconds, "seconds", 10, fmt.Sprintf("length, at most %d", maxSeconds))
	f.IntVar(&o.rate, "rate", ecg.DefaultRate, "samples per second, 100 to 2000")
	f.Uint64Var(&o.seed, "seed", 1, "another seed is another patient and another strip")
	f.StringVar(&o.severity, "severity", string(ecg.Plain), "how plainly it shows: plain, middle or subtle")
	f.StringVar(&o.state, "state", "", "no-signs-of-life, poor-perfusion, stable or not-sure; without it the usual one")
	f.StringVar(&o.artifact, "artifact", "", "an artifact over the rhythm, and where if not by the seed: movement, loose-electrode:LA")
	f.StringVar(&o.identity, "identity", "", "repeat the strip with this identity")
	f.StringVar(&o.from, "from", "", "cut the strip from this recording (WFDB, EDF+ or CSV)")
	f.Float64Var(&o.at, "at", 0, "with --from: seconds from the start of the recording")
	f.StringVar(&o.format, "format", "text", "text, csv, json, wfdb, edf, svg, png or pdf")
	f.IntVar(&o.wfdb, "wfdb-format", 16, "with --format wfdb: format of the signal file, 16, 212 or 80")
	f.StringVar(&o.paper, "paper", string(figure.Pink), "squares of an svg, png or pdf: pink or grey")
	f.StringVar(&o.page, "page", string(pdf.A4), "size of a pdf's page: a4 or letter")
	f.BoolVar(&o.answers, "answers", false, "with --format pdf: the answer on a page of its own")
	f.StringVar(&o.out, "out", "", "write to this path; for wfdb the record's name, without extension")
	f.StringVar(&o.truth, "truth", "", "write what is true of the strip as JSON to this path, - for standard output")
	f.IntVar(&o.width, "width", 0, "columns of the drawing; without it those of the terminal, or 100")
	f.BoolVar(&o.plain, "plain", false, "text as a table of beats, for a screen reader")
	return cmd
}

// checkSource sees to it that the strip is named in one way only.
func (o stripOrder) checkSource(f *pflag.FlagSet, args []string) error {
	making := []string{"age", "rate", "seed", "severity", "state", "artifact"}
	refuse := func(why string, names ...string) error {
		for _, name := range names {
			if f.Changed(name) {
				return fmt.Errorf("%s: leave --%s out", why, name)
			}
		}
		return nil
	}
	switch {
	case f.Changed("identity"):
		if len(args) > 0 {
			return fmt.Errorf("--identity names the whole strip: leave %q out", args[0])
		}
		if strings.HasPrefix(o.identity, "recording;") {
			making = append(making, "seconds")
		}
		return refuse("--identity names the whole strip", append(making, "from", "at", "leads")...)
	case f.Changed("from"):
		if len(args) > 0 {
			return fmt.Errorf("--from cuts the strip from a recording: leave %q out", args[0])
		}
		return refuse("--from cuts the strip from a recording", append(making, "truth")...)
	case len(args) == 0:
		return fmt.Errorf("name a rhythm, as in telltrace strip sinus-rhythm; telltrace rhythms lists them")
	case len(args) > 1:
		return fmt.Errorf("one rhythm at a time: what is %q?", args[1])
	default:
		return refuse("a rhythm is made, not cut from a recording", "at")
	}
}

// strip checks the whole order before any work is done, then makes and writes.
func (c *console) strip(o stripOrder, args []string) error {
	format, err := oneOf("format", o.format, []string{"text", "csv", "json", "wfdb", "edf", "svg", "png", "pdf"})
	if err != nil {
		return err
	}
	if _, err := oneOf("paper", o.paper, figure.Papers); err != nil {
		return err
	}
	if _, err := oneOf("page", o.page, pdf.Sizes); err != nil {
		return err
	}
	if o.answers && format != "pdf" {
		return fmt.Errorf("--answers belongs to --format pdf: leave it out")
	}
	if (format == "png" || format == "pdf") && (o.out == "" || o.out == "-") && c.columns > 0 {
		return fmt.Errorf("a terminal cannot show a %s: give --out, as in --out strip.%[1]s", format)
	}
	if err := checkStretch(o.at, o.seconds); err != nil {
		return err
	}
	if o.width != 0 && (o.width < 20 || o.width > 1000) {
		return fmt.Errorf("--width %d: want 20 to 1000 columns", o.width)
	}
	id, err := o.id(args)
	if err != nil {
		return err
	}
	if id.Recording != "" && o.truth != "" {
		return fmt.Errorf("a recording has no truth of its own: leave --truth out; telltrace measure reads it")
	}
	if format == "wfdb" && (o.out == "" || o.out == "-") {
		return fmt.Errorf("wfdb is several files: name the record with --out")
	}
	if format == "edf" && (o.out == "" || o.out == "-") {
		return fmt.Errorf("edf is written to a file: name it with --out, as in --out strip.edf")
	}
	if !slices.Contains(record.WFDBFormats, o.wfdb) {
		return fmt.Errorf("--wfdb-format %d: want 16, 212 or 80", o.wfdb)
	}
	alone := o.truth == "-" && (o.out == "" || o.out == "-") // the truth is all that is printed
	if alone && o.formatGiven {
		return fmt.Errorf("strip and truth cannot both go to standard output: give --out or another --truth")
	}
	if o.truth == o.out && o.out != "" && o.out != "-" {
		return fmt.Errorf("--out and --truth are the same file %s: give two names", o.out)
	}
	outs := []string{o.out, o.truth}
	if format == "wfdb" {
		outs = append(outs, recordFiles(o.out)...)
	}
	for _, path := range outs {
		if err := checkOut(path, id.Recording); err != nil {
			return err
		}
	}
	m, marks, err := o.make(c, id)
	if err != nil {
		return err
	}
	if !alone {
		if err := c.writeStrip(o, format, m); err != nil {
			return err
		}
	}
	if o.truth == "" {
		return nil
	}
	return c.writeTo(o.truth, func(w io.Writer) error { return writeJSON(w, asMade(id, marks)) })
}

// id is the identity that is ordered, checked as far as the catalogue can.
func (o stripOrder) id(args []string) (ecg.Identity, error) {
	if o.identity != "" {
		id, err := ecg.ParseIdentity(o.identity)
		if err == nil && id.Recording == "" {
			err = synth.Check(id)
		}
		return id, err
	}
	if o.from != "" {
		return ecg.Identity{Recording: o.from, At: o.at, Seconds: o.seconds}, nil
	}
	if len(args) == 0 {
		return ecg.Identity{}, fmt.Errorf("--identity and --from need a value")
	}
	age, _, err := ageOf(o.age)
	if err != nil {
		return ecg.Identity{}, err
	}
	id := ecg.Synthetic(args[0], age, o.seed)
	id.Rate = o.rate
	id.Artifact, id.Place, _ = strings.Cut(o.artifact, ":")
	if o.leadsGiven {
		if id.Leads, err = leadsOf(o.leads, ecg.Leads); err != nil {
			return ecg.Identity{}, err
		}
	}
	// The engine makes plain strips only; others would be the same under another name.
	if id.Severity, err = oneOf("severity", o.severity, []ecg.Severity{ecg.Plain, ecg.Middle, ecg.Subtle}); err != nil {
		return ecg.Identity{}, err
	}
	if err := synth.Check(id); err != nil {
		return ecg.Identity{}, err
	}
	if o.state != "" {
		id.State, err = oneOf("state", o.state, ecg.States)
		return id, err
	}
	// Fibrillation with a patient who is well would be odd: the first is the usual one.
	if l, _ := synth.Lesson(id.Rhythm); len(l.States) > 0 {
		id.State = l.States[0]
	}
	return id, nil
}

// make plays or reads the strip.
func (o stripOrder) make(c *console, id ecg.Identity) (made, ecg.Marks, error) {
	if id.Recording != "" {
		m, err := o.cut(c, id)
		return m, ecg.Marks{}, err
	}
	strip, marks, err := synth.Render(id, o.seconds)
	if err != nil {
		return made{}, ecg.Marks{}, err
	}
	m := made{id: id, strip: strip, marks: marks, record: ecg.Record{
		Strip: strip, Annotations: annotationsOf(marks.Beats, strip.Rate, 0),
		Comments: []string{"strip identity " + id.String(), look.Caution},
	}}
	m.drawn = o.toDraw(strip.Leads)
	return m, marks, nil
}

// cut reads a stretch of a recording, with the leads that are asked for.
func (o stripOrder) cut(c *console, id ecg.Identity) (made, error) {
	if err := checkStretch(id.At, id.Seconds); err != nil {
		return made{}, err
	}
	rec, err := record.ReadSegment(id.Recording, id.At, id.Seconds)
	if err != nil {
		return made{}, err
	}
	// The identity names what there is, so that it can be repeated as it stands.
	if got := rec.Strip.Seconds(); id.Seconds-got > 1/rec.Strip.Rate {
		c.say("the recording ends at %.6g s: the strip has %.4g s", float64(rec.Start)/rec.Strip.Rate+got, got)
		id.Seconds = math.Round(got*step4) / step4
	}
	if o.leadsGiven {
		leads, err := leadsOf(o.leads, rec.Strip.Leads)
		if err != nil {
			return made{}, fmt.Errorf("%s: %w", id.Recording, err)
		}
		rows := make([][]float64, len(leads))
		for i, l := range leads {
			rows[i] = rec.Strip.Row(l)
		}
		rec.Strip.Leads, rec.Strip.MV = leads, rows
	}
	return made{id: id, strip: rec.Strip, drawn: o.toDraw(rec.Strip.Leads), record: rec, rec: true}, nil
}

// toDraw are the leads that text draws: those asked for, else lead II, else the
// first.
func (o stripOrder) toDraw(leads []ecg.Lead) []ecg.Lead {
	if o.leadsGiven {
		return leads
	}
	for _, l := range leads {
		if l == ecg.II {
			return []ecg.Lead{l}
		}
	}
	return leads[:1]
}
