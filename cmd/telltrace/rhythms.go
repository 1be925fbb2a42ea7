package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
	"telltrace/trainer/look"
)

func newRhythms(c *console) *cobra.Command {
	var format, age string
	cmd := &cobra.Command{
		Use:   "rhythms [ID...]",
		Short: "Show what can be shown: rhythms and artifacts, how to tell them, what to do first",
		Example: "  telltrace rhythms\n" +
			"  telltrace rhythms ventricular-bigeminy --age 6y\n" +
			"  telltrace rhythms --format json",
		RunE: func(_ *cobra.Command, ids []string) error {
			as, err := oneOf("format", format, []string{"text", "json"})
			if err != nil {
				return err
			}
			ages, err := agesOf(age)
			if err != nil {
				return err
			}
			lessons, err := lessonsOf(ids)
			if err != nil {
				return err
			}
			if as == "json" {
				return writeJSON(c.out, catalogueJSON(lessons, ages))
			}
			width := textWidth
			if c.columns > 0 {
				width = min(width, max(c.columns, 40))
			}
			_, err = io.WriteString(c.out, catalogueText(lessons, ages, width))
			return err
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "text or json")
	cmd.Flags().StringVar(&age, "age", "", "10d, 4mo, 6y or a band such as newborn; without it every band")
	return cmd
}

// textWidth is the usual width of what is printed, columns.
const textWidth = 100

// An aged is an age at which criteria and care are given, by the name of its band
// or as it was asked for.
type aged struct {
	name string
	age  ecg.Age
}

func (a aged) band() string { return norms.BandOf(a.age).Name }

// agesOf is the one age asked for, or the middle of every band.
func agesOf(word string) ([]aged, error) {
	age, given, err := ageOf(word)
	if err != nil {
		return nil, err
	}
	if given {
		return []aged{{age.String(), age}}, nil
	}
	var all []aged
	for _, b := range norms.Bands() {
		all = append(all, aged{b.Name, b.Middle})
	}
	return all, nil
}

func lessonsOf(ids []string) ([]lesson.Lesson, error) {
	if len(ids) == 0 {
		return synth.Lessons(), nil
	}
	var some []lesson.Lesson
	for _, id := range ids {
		l, err := synth.FindLesson(id)
		if err != nil {
			return nil, err
		}
		some = append(some, l)
	}
	return some, nil
}

// catalogueText writes the entries as short blocks, the caution last.
func catalogueText(lessons []lesson.Lesson, ages []aged, width int) string {
	p := &page{width: width}
	for _, l := range lessons {
		p.line(0, strings.ToUpper(l.Name[:1])+l.Name[1:])
		p.line(2, fmt.Sprintf("id %s, family %s", l.ID, l.Family))
		p.line(2, "At the bedside first: "+l.LookFirst)
		p.line(2, "Look for:")
		for _, s := range l.LookFor {
			p.line(4, s)
		}
		if len(l.Criteria) > 0 {
			p.line(2, "Measured:")
		}
		for _, c := range l.Criteria {
			p.criterion(c, ages)
		}
		p.line(2, "Looks like:")
		for _, a := range l.LookAlikes {
			p.line(4, fmt.Sprintf("%s: %s At the bedside: %s", a.ID, a.Difference, a.Bedside))
		}
		p.line(2, "What to do first, by how the patient is:")
		for _, s := range statesOf(l) {
			p.care(l, s, ages)
		}
		p.line(0, "")
	}
	p.line(0, look.PatientFirst+" "+look.Caution)
	return p.String()
}

// statesOf lists every state, the ones the entry is shown in first.
func statesOf(l lesson.Lesson) []ecg.State {
	states := slices.Clone(l.States)
	for _, s := range ecg.States {
		if !slices.Contains(states, s) {
			states = append(states, s)
		}
	}
	return states
}

// A page is text wrapped to a width.
type page struct {
	strings.Builder
	width int
}

// line adds a paragraph, indented, further lines two columns more.
func (p *page) line(indent int, text string) {
	lines := strings.Split(ansi.Wordwrap(text, max(p.width-indent-2, 20), ""), "\n")
	for i, l := range lines {
		if i > 0 {
			l = "  " + l
		}
		p.WriteString(strings.TrimRight(strings.Repeat(" ", indent)+l, " ") + "\n")
	}
}

// criterion gives a range at each age, ages with the same range together, and its
// sources once.
func (p *page) criterion(c lesson.Criterion, ages []aged) {
	q := quantityOf(c.Measure)
	groups := grouped(ages, func(a aged) string {
		r := c.At(a.age)
		if r.Low == r.High {
			return fmt.Sprintf("%.*f", q.decimals, r.Low*q.scale)
		}
		return fmt.Sprintf("%.*f to %.*f", q.decimals, r.Low*q.scale, q.decimals, r.High*q.scale)
	})
	var sources []string
	for _, a := range ages {
		for s := range strings.SplitSeq(c.At(a.age).Source, "; ") {
			if !slices.Contains(sources, s) {
				sources = append(sources, s)
			}
		}
	}
	text := q.name + ", " + q.unit + ": "
	if q.unit == "" {
		text = q.name + ": "
	}
	p.line(4, text+joined(groups, len(ages), ": ", "; "))
	p.line(6, "source: "+strings.Join(sources, "; "))
}

// care gives what to do first in a state.
func (p *page) care(l lesson.Lesson, s ecg.State, ages []aged) {
	groups := grouped(ages, func(a aged) string {
		c := l.Care(a.age, s)
		text := fmt.Sprintf("%s. %s.", c.Urgency, c.First.Words())
		for _, also := range c.Also {
			text += " As right: " + also.Words() + "."
		}
		return text + " " + c.Then + " " + c.Caution
	})
	for _, g := range groups {
		who := stateWords(s)
		if len(g.names) < len(ages) {
			who += " (" + strings.Join(g.names, ", ") + ")"
		}
		p.line(4, who+": "+g.text)
	}
}

// A group is neighbouring ages of which the same is true.
type group struct {
	names []string
	text  string
}

func grouped(ages []aged, text func(aged) string) []group {
	var out []group
	for _, a := range ages {
		t := text(a)
		if n := len(out); n > 0 && out[n-1].text == t {
			out[n-1].names = append(out[n-1].names, a.name)
		} else {
			out = append(out, group{[]string{a.name}, t})
		}
	}
	return out
}

// joined writes groups in a row; one that holds for every age needs no names.
func joined(groups []group, ages int, of, between string) string {
	words := make([]string, len(groups))
	for i, g := range groups {
		words[i] = strings.Join(g.names, ", ") + of + g.text
		if len(g.names) == ages && ages > 1 {
			words[i] = g.text
		}
	}
	return strings.Join(words, between)
}

func stateWords(s ecg.State) string { return strings.ReplaceAll(string(s), "-", " ") }

// A quantity is how a measure is written for people.
type quantity struct {
	name, unit string
	scale      float64 // from the catalogue's unit
	decimals   int
}

func quantityOf(m lesson.Measure) quantity {
	switch m {
	case lesson.Rate:
		return quantity{"rate", "beats/min", 1, 0}
	case lesson.RRSpread:
		return quantity{"RR varies by", "%", 100, 0}
	case lesson.PPerQRS:
		return quantity{"P for each QRS", "", 1, 1}
	case lesson.PRTime:
		return quantity{"PR", "ms", 1000, 0}
	case lesson.QRSTime:
		return quantity{"QRS", "ms", 1000, 0}
	case lesson.QTTime:
		return quantity{"QT", "ms", 1000, 0}
	case lesson.QTcBazett:
		return quantity{"QTc (Bazett)", "ms", 1000, 0}
	case lesson.Ectopics:
		return quantity{"beats of another shape", "% of all", 100, 0}
	case lesson.LongestRun:
		return quantity{"beats of another shape in a row", "", 1, 0}
	case lesson.PeakToPeak:
		return quantity{"peak to peak", "mV", 1, 2}
	case lesson.Dominant:
		return quantity{"main frequency", "Hz", 1, 1}
	default:
		return quantity{string(m), "", 1, 2}
	}
}
