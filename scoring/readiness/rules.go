// Package readiness decides whether a learner is ready, by check strips alone: blocks
// from a fixed blueprint, without a word until the block ends. Success in practice says
// little, since practice is steered to a steady share of it.
//
// Start with Rules and Decide. The rules stand in rules.yaml, which an educator may
// edit. The arithmetic behind them: who recognises an arrest in 95 of 100 strips misses
// none of 35 with probability 0.17 and at most one of 53 with 0.25, so a pass speaks for
// more than that; who recognises 99 of 100 passes with 0.70 and 0.90 (binomial;
// stats.AtMost).
//
// Training only: ready in telltrace is no licence to practise. Local policy and the
// educator decide.
package readiness

import (
	_ "embed"
	"fmt"
	"slices"
	"time"

	"github.com/goccy/go-yaml"

	"telltrace/synth/ecg"
)

//go:embed rules.yaml
var builtIn []byte

// Rules say what it takes to be ready.
type Rules struct {
	Block struct {
		Arrest   int `yaml:"arrest"`
		Harmless int `yaml:"harmless"`
		Severity struct {
			Plain  int `yaml:"plain"`
			Middle int `yaml:"middle"`
			Subtle int `yaml:"subtle"`
		} `yaml:"severity"`
	} `yaml:"block"`
	Days struct {
		Least int `yaml:"least"`
		Span  int `yaml:"span"`
	} `yaml:"days"`
	Arrest struct {
		Pass          []Pass  `yaml:"pass"`
		Each          int     `yaml:"each"`
		MedianSeconds float64 `yaml:"median-seconds"`
	} `yaml:"arrest"`
	Harmless struct {
		Strips       int `yaml:"strips"`
		CalledArrest int `yaml:"called-arrest"`
	} `yaml:"harmless"`
	Critical    int   `yaml:"critical"`
	RecheckDays []int `yaml:"recheck-days"`
}

// A Pass is enough: at most so many misses in so many arrest strips.
type Pass struct {
	Strips int `yaml:"strips"`
	Misses int `yaml:"misses"`
}

// BuiltIn is the text of the rules that come with telltrace, to be edited.
func BuiltIn() []byte { return slices.Clone(builtIn) }

// Default are the rules that come with telltrace.
func Default() Rules {
	r, err := Parse("rules.yaml", builtIn)
	if err != nil {
		panic(err) // the file is part of the program; a test reads it
	}
	return r
}

// maxFile bounds what is read as rules, in bytes.
const maxFile = 64 << 10

// Parse reads rules from YAML. An error names the file, the line and what to do.
func Parse(name string, text []byte) (Rules, error) {
	var r Rules
	if len(text) > maxFile {
		return r, fmt.Errorf("%s: %d bytes are too many for readiness rules; at most %d", name, len(text), maxFile)
	}
	if err := yaml.UnmarshalWithOptions(text, &r, yaml.Strict()); err != nil {
		return r, fmt.Errorf("%s: %s", name, yaml.FormatError(err, false, true))
	}
	if err := r.check(); err != nil {
		return r, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// check refuses rules that nobody could meet or that say nothing.
func (r Rules) check() error {
	sum := r.Block.Severity.Plain + r.Block.Severity.Middle + r.Block.Severity.Subtle
	for _, f := range []struct {
		field string
		value int
		low   int
		high  int
	}{
		{"block.arrest", r.Block.Arrest, 1, 200},
		{"block.harmless", r.Block.Harmless, 1, 200},
		{"block.severity.plain", r.Block.Severity.Plain, 0, 100},
		{"block.severity.middle", r.Block.Severity.Middle, 0, 100},
		{"block.severity.subtle", r.Block.Severity.Subtle, 0, 100},
		{"block.severity: the sum", sum, 100, 100},
		{"days.least", r.Days.Least, 1, 60},
		{"days.span", r.Days.Span, 0, 365},
		{"arrest.pass: the number of ways", len(r.Arrest.Pass), 1, 10},
		{"arrest.each", r.Arrest.Each, 0, 100},
		{"harmless.strips", r.Harmless.Strips, 1, 1000},
		{"harmless.called-arrest", r.Harmless.CalledArrest, 0, r.Harmless.Strips - 1},
		{"critical", r.Critical, 0, 10},
	} {
		if f.value < f.low || f.value > f.high {
			return fmt.Errorf("%s is %d; allowed is %d to %d", f.field, f.value, f.low, f.high)
		}
	}
	for i, p := range r.Arrest.Pass {
		if p.Strips < 1 || p.Strips > 1000 || p.Misses < 0 || p.Misses >= p.Strips {
			return fmt.Errorf("arrest.pass[%d]: %d misses in %d strips; allowed are 1 to 1000 strips and fewer misses than strips", i, p.Misses, p.Strips)
		}
	}
	if !(r.Arrest.MedianSeconds > 0 && r.Arrest.MedianSeconds <= 120) {
		return fmt.Errorf("arrest.median-seconds is %g; allowed is above 0 to 120", r.Arrest.MedianSeconds)
	}
	for i, d := range r.RecheckDays {
		if d < 1 || d > 3650 || i > 0 && d <= r.RecheckDays[i-1] {
			return fmt.Errorf("recheck-days[%d] is %d; allowed are rising days from 1 to 3650", i, d)
		}
	}
	return nil
}

// severities spreads the blueprint over n strips, the largest remainders first.
func (r Rules) severities(n int) []ecg.Severity {
	s := r.Block.Severity
	shares := []struct {
		what ecg.Severity
		part int
	}{{ecg.Plain, s.Plain}, {ecg.Middle, s.Middle}, {ecg.Subtle, s.Subtle}}
	var out []ecg.Severity
	done, upTo := 0, 0
	for _, share := range shares {
		upTo += share.part
		for ; done < (upTo*n+50)/100; done++ {
			out = append(out, share.what)
		}
	}
	return out
}

// day numbers calendar days at a place.
func day(at time.Time, loc *time.Location) int {
	y, m, d := at.In(loc).Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}
