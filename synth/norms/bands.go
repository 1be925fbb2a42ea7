package norms

import (
	"fmt"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/synth/near"
)

// A Band is a named stretch of life. From belongs to it, To is where the next one
// begins. Middle is the exact age its name stands for.
type Band struct {
	Name             string
	From, To, Middle ecg.Age
}

// Bands lists the age bands, youngest first. Limits as in the American Heart
// Association's PALS vital-sign tables, 2015 (read second-hand): newborn to 27
// days, infant to 11 months, toddler 1-2 y, preschool 3-5 y, school 6-11 y,
// adolescent 12-15 y; adult is all above. Newborn means born at term.
func Bands() []Band {
	return []Band{
		{"newborn", ecg.Days(0), ecg.Days(28), ecg.Days(10)},
		{"infant", ecg.Days(28), ecg.Years(1), ecg.Months(6)},
		{"toddler", ecg.Years(1), ecg.Years(3), ecg.Years(2)},
		{"preschool", ecg.Years(3), ecg.Years(6), ecg.Years(4)},
		{"school", ecg.Years(6), ecg.Years(12), ecg.Years(8)},
		{"adolescent", ecg.Years(12), ecg.Years(16), ecg.Years(14)},
		{"adult", ecg.Years(16), ecg.Years(ecg.MaxAgeYears), ecg.Years(40)},
	}
}

// BandOf is the band an age belongs to.
func BandOf(age ecg.Age) Band {
	bands := Bands()
	for i := len(bands) - 1; i > 0; i-- {
		if age.Days() >= bands[i].From.Days() {
			return bands[i]
		}
	}
	return bands[0]
}

// ParseAge reads an exact age ("10d", "4mo", "6y") or the name of a band, which
// stands for its middle. The error names the nearest band when the word is close
// to one.
func ParseAge(s string) (ecg.Age, error) {
	word := strings.ToLower(strings.TrimSpace(s))
	names := make([]string, 0, len(Bands()))
	for _, b := range Bands() {
		if word == b.Name {
			return b.Middle, nil
		}
		names = append(names, b.Name)
	}
	age, err := ecg.ParseAge(s)
	nearest, close := near.Word(word, names)
	switch {
	case err == nil:
		return age, nil
	case close:
		return ecg.Age{}, fmt.Errorf("age %q: did you mean %q? an exact age is written 10d, 4mo or 6y", s, nearest)
	default:
		return ecg.Age{}, fmt.Errorf("%w, or name one of %s", err, strings.Join(names, ", "))
	}
}
