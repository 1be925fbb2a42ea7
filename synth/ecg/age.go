package ecg

import (
	"fmt"
	"strconv"
	"strings"
)

// Lengths of the calendar units in days.
const (
	DaysPerMonth = 365.25 / 12
	DaysPerYear  = 365.25
)

// An Age is a number of days, months or years, kept as it was given: "10d",
// "4mo", "6y". The zero Age is the day of birth.
type Age struct {
	n    int
	unit byte // 0 and 'd' days, 'm' months, 'y' years
}

// Days, Months and Years make ages. They panic on a negative number.
func Days(n int) Age { return newAge(n, 'd') }

// Months makes an age of n months.
func Months(n int) Age { return newAge(n, 'm') }

// Years makes an age of n years.
func Years(n int) Age { return newAge(n, 'y') }

func newAge(n int, unit byte) Age {
	if n < 0 {
		panic("ecg: negative age")
	}
	return Age{n, unit}
}

// Days is the age in days.
func (a Age) Days() float64 {
	switch a.unit {
	case 'm':
		return float64(a.n) * DaysPerMonth
	case 'y':
		return float64(a.n) * DaysPerYear
	default:
		return float64(a.n)
	}
}

// Years is the age in years.
func (a Age) Years() float64 { return a.Days() / DaysPerYear }

// String writes the age as ParseAge reads it.
func (a Age) String() string {
	switch a.unit {
	case 'm':
		return strconv.Itoa(a.n) + "mo"
	case 'y':
		return strconv.Itoa(a.n) + "y"
	default:
		return strconv.Itoa(a.n) + "d"
	}
}

// Words writes the age for a sentence: "10 days", "1 month", "6 years".
func (a Age) Words() string {
	unit := "day"
	switch a.unit {
	case 'm':
		unit = "month"
	case 'y':
		unit = "year"
	}
	if a.n != 1 {
		unit += "s"
	}
	return strconv.Itoa(a.n) + " " + unit
}

// MaxAgeYears is the highest age that is accepted.
const MaxAgeYears = 120

// ParseAge reads an exact age. Names of age bands are read by norms.ParseAge.
func ParseAge(s string) (Age, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	for _, u := range []struct {
		suffix string
		unit   byte
	}{{"mo", 'm'}, {"d", 'd'}, {"y", 'y'}} {
		digits, found := strings.CutSuffix(t, u.suffix)
		if !found {
			continue
		}
		n, err := strconv.Atoi(digits)
		if err != nil || n < 0 || strings.HasPrefix(digits, "+") || strings.HasPrefix(digits, "-") {
			break
		}
		a := Age{n, u.unit}
		if a.Years() > MaxAgeYears {
			return Age{}, fmt.Errorf("age %q is above %d years: write one below that", s, MaxAgeYears)
		}
		return a, nil
	}
	return Age{}, fmt.Errorf("age %q: write a whole number of days, months or years, such as 10d, 4mo or 6y", s)
}
