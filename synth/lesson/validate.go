package lesson

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

var (
	idForm = regexp.MustCompile(`^[a-z]+(-[a-z0-9]+)*$`)

	// A lesson names no dose and no shock energy: those are for orders and
	// guidelines, which change. Rates, mV, mmHg and Hz are what it measures in.
	doseForm = regexp.MustCompile(`(?i)\b(mg|mcg|µg|microgram|milligram|joules?|mmol|ml|units?)\b|/\s?kg|\d\s?J\b`)
)

// Validate checks one lesson at the given ages: a proper id, sentences that end,
// sources everywhere, ordered criteria, an action in every state, compressions
// without signs of life, and no dose anywhere. The error joins all complaints.
func (l Lesson) Validate(ages []ecg.Age) error {
	var errs []error
	bad := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("lesson %q: %s", l.ID, fmt.Sprintf(format, args...)))
	}
	sentence := func(where, s string) {
		if !strings.HasSuffix(s, ".") {
			bad("%s does not end with a full stop: %q", where, s)
		}
		if dose := doseForm.FindString(s); dose != "" {
			bad("%s names a dose (%q)", where, dose)
		}
	}
	source := func(where, s string) {
		if strings.TrimSpace(s) == "" {
			bad("%s has no source", where)
		}
	}
	if !idForm.MatchString(l.ID) {
		bad("the id is not lower case with hyphens")
	}
	if l.Name == "" || l.Family == "" {
		bad("name or family is missing")
	}
	if len(l.LookFor) == 0 || len(l.LookAlikes) == 0 || len(l.States) == 0 {
		bad("what to look for, look-alikes or states are missing")
	}
	for i, s := range l.LookFor {
		sentence(fmt.Sprintf("look for %d", i+1), s)
	}
	sentence("look first", l.LookFirst)
	for _, a := range l.LookAlikes {
		sentence("difference from "+a.ID, a.Difference)
		sentence("bedside of "+a.ID, a.Bedside)
		source("look-alike "+a.ID, a.Source)
	}
	for _, age := range ages {
		for _, c := range l.Criteria {
			r := c.At(age)
			source(fmt.Sprintf("%s at %s", c.Measure, age), r.Source)
			if !(r.Low <= r.High) { // also refuses NaN
				bad("%s at %s runs from %g to %g", c.Measure, age, r.Low, r.High)
			}
		}
		for _, state := range ecg.States {
			c, where := l.Care(age, state), fmt.Sprintf("care at %s, %s", age, state)
			sentence(where+", then", c.Then)
			sentence(where+", caution", c.Caution)
			source(where, c.Source)
			if c.Urgency == "" || !slices.Contains(Actions(), c.First) {
				bad("%s has no urgency or no first action", where)
			}
			if slices.Contains(append(c.Also, c.First), Silence) {
				bad("%s silences the alarm", where)
			}
			if state == ecg.NoSignsOfLife && (c.First != Compress || c.Urgency != ArrestNow || len(c.Also) > 0) {
				bad("%s is not compressions alone", where)
			}
		}
	}
	return errors.Join(errs...)
}

// Mutual checks that every look-alike is one of the lessons and names the other
// back, and that no id stands twice.
func Mutual(lessons []Lesson) error {
	var errs []error
	byID := map[string]Lesson{}
	for _, l := range lessons {
		if _, twice := byID[l.ID]; twice {
			errs = append(errs, fmt.Errorf("lesson %q stands twice", l.ID))
		}
		byID[l.ID] = l
	}
	for _, l := range lessons {
		for _, a := range l.LookAlikes {
			other, ok := byID[a.ID]
			if !ok {
				errs = append(errs, fmt.Errorf("lesson %q: look-alike %q is not in the catalogue", l.ID, a.ID))
			} else if _, back := other.LookAlike(l.ID); !back {
				errs = append(errs, fmt.Errorf("lesson %q: look-alike %q does not name it back", l.ID, a.ID))
			}
		}
	}
	return errors.Join(errs...)
}
