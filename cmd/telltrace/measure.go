package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// A measureOrder is the command line of measure.
type measureOrder struct {
	lead, age, format, beats string
	against, alarm           string
	at, seconds              float64
	secondsGiven             bool
}

// leastSeconds is the shortest strip that gives a reading, s (measure.Read).
const leastSeconds = 2

func newMeasure(c *console) *cobra.Command {
	var o measureOrder
	cmd := &cobra.Command{
		Use:   "measure FILE...",
		Short: "Read a recording back: beats, intervals, and what it shows with the reasons",
		Long: "Read a recording (WFDB, EDF+ or CSV) back from its samples alone: beats,\n" +
			"intervals, and what it shows with the reasons.\n" + readingCaution,
		Example: "  telltrace measure recordings/106 --lead MLII\n" +
			"  telltrace measure strip.csv --age 6y --format json\n" +
			"  telltrace measure recordings/106 recordings/119 --against atr",
		Args: func(_ *cobra.Command, args []string) error {
			if o.against != "" && len(args) > 0 {
				return nil
			}
			switch len(args) {
			case 0:
				return fmt.Errorf("name a recording, as in telltrace measure strip.csv")
			case 1:
				return nil
			default:
				return fmt.Errorf("one recording at a time: what is %q?", args[1])
			}
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.secondsGiven = cmd.Flags().Changed("seconds")
			if o.against != "" {
				return c.against(o, args)
			}
			if o.alarm != "" {
				return c.weigh(o, args[0])
			}
			return c.measure(o, args[0])
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.lead, "lead", "", "the lead to read; without it the best one")
	f.StringVar(&o.age, "age", "", "the patient's age, for what is fast, slow and wide; without it an adult's")
	f.Float64Var(&o.at, "at", 0, "where to begin, seconds from the start")
	f.Float64Var(&o.seconds, "seconds", maxSeconds, "how much to read, up to an hour; without it all, a long one in constant memory")
	f.StringVar(&o.format, "format", "text", "text or json")
	f.StringVar(&o.beats, "beats", "", "write the beats to this MIT annotation file")
	f.StringVar(&o.alarm, "alarm", "", "weigh the leads against the pulse at the last sample: was this alarm real? asystole, bradycardia, tachycardia, vt or vf")
	f.StringVar(&o.against, "against", "", "compare the beats with this MIT annotation file, or of several records with that annotator (atr)")
	return cmd
}

func (c *console) measure(o measureOrder, path string) error {
	format, err := oneOf("format", o.format, []string{"text", "json"})
	if err != nil {
		return err
	}
	age, agedPatient, err := ageOf(o.age)
	if err != nil {
		return err
	}
	if err := checkStretch(o.at, o.seconds); err != nil {
		return err
	}
	if err := checkOut(o.beats, path); err != nil {
		return err
	}
	if whole, rate, long, err := isLong(path); err != nil {
		return err
	} else if long && !o.secondsGiven && o.at == 0 {
		limits := measure.Adult()
		if agedPatient {
			limits = synth.Limits(age)
		}
		lead, err := leadIn(path, o.lead)
		if err != nil {
			return err
		}
		return c.measureLong(o, path, format, lead, limits, rate, whole)
	}
	// Everything that can be wrong with the order is known before an hour is read.
	rec, lead, err := c.readFor(o, path)
	if err != nil {
		return err
	}
	limits := measure.Adult()
	if agedPatient {
		limits = synth.Limits(age)
	}
	if got := rec.Strip.Seconds(); got < leastSeconds {
		return fmt.Errorf("%s: %.3g s are too short to read: want at least %d", path, got, leastSeconds)
	}
	r, err := measure.Read(rec.Strip, lead, measure.WithLimits(limits))
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	at := float64(rec.Start) / rec.Strip.Rate
	if o.beats != "" {
		if err := record.WriteAnnotations(o.beats, annotationsOf(r.Marks.Beats, rec.Strip.Rate, rec.Start)); err != nil {
			return err
		}
	}
	minutes, err := byMinutes(path, r, limits, at, rec.Strip.Seconds())
	if err != nil {
		return err
	}
	if format == "json" {
		m := asRead(r, at, rec.Strip.Seconds())
		if minutes != nil {
			m.Stretches = minutes.list
		}
		return writeJSON(c.out, m)
	}
	whose := "Judged by the limits of an adult; give --age for a child."
	if agedPatient {
		whose = fmt.Sprintf("Judged by the limits at %s: %.0f to %.0f beats/min, wide from %.0f ms.",
			age.Words(), limits.Slow, limits.Fast, 1000*limits.Wide)
	}
	_, err = io.WriteString(c.out, readingText(path, rec, at, r, minutes, whose))
	return err
}

// isLong says how long a recording is, s, and whether that is more than is read at once.
func isLong(path string) (whole, rate float64, long bool, err error) {
	r, err := record.Open(path)
	if err != nil {
		return 0, 0, false, err
	}
	h := r.Header()
	whole, known := h.Seconds()
	return whole, h.Rate, known && whole > maxSeconds, r.Close()
}

// leadIn is the lead of a recording that is asked for; "" for the best.
func leadIn(path, name string) (ecg.Lead, error) {
	r, err := record.Open(path)
	if err != nil {
		return "", err
	}
	h := r.Header()
	if err := r.Close(); err != nil {
		return "", err
	}
	var leads []ecg.Lead
	for _, channel := range h.Channels[:h.Leads()] {
		leads = append(leads, ecg.Lead(channel.Name))
	}
	if name == "" || len(leads) == 0 {
		return "", nil
	}
	lead, err := oneOf("lead", name, leads)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	return lead, nil
}

// readFor reads the stretch, the lead's name checked first, and says when less is
// read than there is, or than was asked for.
func (c *console) readFor(o measureOrder, path string) (rec ecg.Record, lead ecg.Lead, err error) {
	r, err := record.Open(path)
	if err != nil {
		return rec, "", err
	}
	h := r.Header()
	if err := r.Close(); err != nil {
		return rec, "", err
	}
	if lead, err = leadIn(path, o.lead); err != nil {
		return rec, "", err
	}
	// Memory stays bounded by maxSeconds, and by record.MaxHeld.
	if rec, err = record.ReadSegment(path, o.at, o.seconds); err != nil {
		return rec, "", err
	}
	got := rec.Strip.Seconds()
	end := float64(rec.Start)/rec.Strip.Rate + got
	whole, known := h.Seconds()
	switch {
	case o.secondsGiven && o.seconds-got > 1/rec.Strip.Rate:
		c.say("the recording ends at %.6g s: %.6g s were read", end, got)
	case !o.secondsGiven && known && whole-end > 1/rec.Strip.Rate:
		c.say("read %.6g to %.6g s of %.6g s; --at reads on from there", o.at, end, whole)
	case !o.secondsGiven && !known && o.seconds-got < 1/rec.Strip.Rate:
		c.say("read %.6g to %.6g s; there may be more, --at reads on from there", o.at, end)
	}
	return rec, lead, nil
}

// readingText is a reading in trade order: one quantity a line, then what it shows,
// why, and what speaks against it.
func readingText(path string, rec ecg.Record, at float64, r measure.Reading, minutes *stretches, whose string) string {
	var b strings.Builder
	row := func(name, format string, value float64, rest ...any) {
		text := "not found"
		if !math.IsNaN(value) {
			text = fmt.Sprintf(format, append([]any{value}, rest...)...)
		}
		fmt.Fprintf(&b, "%-14s%s\n", name, text)
	}
	fmt.Fprintf(&b, "%s: lead %s, %.6g to %.6g s, %g samples a second\n", path, r.Lead, at, at+rec.Strip.Seconds(), rec.Strip.Rate)
	fmt.Fprintf(&b, "%-14s%d QRS\n", "beats", len(r.Marks.Beats))
	row("rate", "%.0f beats/min", r.Rate)
	row("", "%.0f as a display counts it", r.Displayed())
	if bpm, ok := measure.SixSeconds(r.Marks.Beats, rec.Strip.Seconds()); ok {
		row("", "%.0f by hand: the QRS of six seconds, times ten", bpm)
	}
	if bpm, boxes := measure.SmallBoxes(r.RR); !math.IsNaN(bpm) {
		row("", "%.0f by hand: 1500 over %.3g small boxes", bpm, boxes)
	}
	row("regularity", "RR varies by %.0f %%", 100*r.RRCV)
	row("P", "%.2g for each QRS", r.PPerQRS)
	row("PR", "%.0f ms", 1000*r.PR)
	row("QRS", "%.0f ms", 1000*r.QRS)
	row("QT", "%.0f ms", 1000*r.QT)
	bazett, fridericia, framingham, hodges := r.QTc()
	row("QTc", "%.0f ms (Bazett), %.0f (Fridericia), %.0f (Framingham), %.0f (Hodges)", 1000*bazett, 1000*fridericia, 1000*framingham, 1000*hodges)
	name := r.Name
	if name == "" {
		name = "cannot be told from this lead: look at the patient, then at other leads or a 12-lead recording"
	}
	if minutes == nil {
		fmt.Fprintf(&b, "\nReading: %s\n", name)
	} else {
		fmt.Fprintf(&b, "\nMinute by minute:\n%s\nReading of all of it at once: %s\n", minutes.table(), name)
	}
	for _, s := range r.Reasons {
		fmt.Fprintf(&b, "  because    %s\n", s)
	}
	for _, s := range r.Against {
		fmt.Fprintf(&b, "  but        %s\n", s)
	}
	for _, s := range r.Settle() {
		fmt.Fprintf(&b, "  to settle  %s\n", s)
	}
	fmt.Fprintf(&b, "%s\n%s\n", whose, readingCaution)
	return b.String()
}
