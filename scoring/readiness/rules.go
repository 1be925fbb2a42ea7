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

	"telltrace/scenarios/strict"
	"telltrace/synth/ecg"
)

//go:embed rules.yaml
var builtIn []byte

// Rules say what it takes to be ready.
type Rules struct {
	Block struct {
		Arrest   int `yaml:"arrest" want:"required; 1..200" doc:"strips of an arrest"`
		Harmless int `yaml:"harmless" want:"required; 1..200" doc:"strips of artifact, or of rhythms that need nothing done"`
		Severity struct {
			Plain  int `yaml:"plain" want:"required; 0..100" doc:"per cent"`
			Middle int `yaml:"middle" want:"required; 0..100" doc:"per cent"`
			Subtle int `yaml:"subtle" want:"required; 0..100" doc:"per cent"`
		} `yaml:"severity" want:"required" doc:"how hard the strips are; the three add up to 100"`
	} `yaml:"block" want:"required" doc:"one sitting"`
	Days struct {
		Least int `yaml:"least" want:"required; 1..60" doc:"blocks on at least so many days"`
		Span  int `yaml:"span" want:"required; 0..365" doc:"one of them at least so many days after the first"`
	} `yaml:"days" want:"required" doc:"over how long"`
	Arrest struct {
		Pass          []Pass  `yaml:"pass" want:"required" items:"1..10" doc:"either of these is enough"`
		Each          int     `yaml:"each" want:"required; 0..100" doc:"at least so many of every arrest rhythm"`
		MedianSeconds float64 `yaml:"median-seconds" want:"required; 0.1..120" doc:"half of the arrests are called within this time"`
	} `yaml:"arrest" want:"required" doc:"arrests told from what is none"`
	Harmless struct {
		Strips       int `yaml:"strips" want:"required; 1..1000" doc:"strips that are no arrest"`
		CalledArrest int `yaml:"called-arrest" want:"required; 0..999" doc:"at most so many of them called an arrest"`
	} `yaml:"harmless" want:"required" doc:"strips that need nothing done"`
	Critical    int   `yaml:"critical" want:"required; 0..10" doc:"critical errors in those blocks"`
	RecheckDays []int `yaml:"recheck-days" want:"required; 1..3650" items:"1..20" doc:"readiness lapses unless a block is passed again by then; rising"`
}

// A Pass is enough: at most so many misses in so many arrest strips.
type Pass struct {
	Strips int `yaml:"strips" want:"required; 1..1000" doc:"arrest strips"`
	Misses int `yaml:"misses" want:"required; 0..999" doc:"at most so many of them missed"`
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

// Schema is the JSON Schema of a file of rules.
func Schema() map[string]any {
	return strict.Schema("when a learner of telltrace is called ready", Rules{}, nil)
}

// Parse reads rules from YAML; file is its name for the faults, which are a strict.Faults:
// each with line and column, and all at once.
func Parse(file string, text []byte) (Rules, error) {
	var r Rules
	doc, faults := strict.Read(file, text, &r, nil)
	if len(faults) == 0 {
		faults = r.check(doc)
	}
	if len(faults) > 0 {
		return r, faults
	}
	return r, nil
}

// check refuses rules that nobody could meet or that say nothing.
func (r Rules) check(doc *strict.Document) (out strict.Faults) {
	fault := func(path []any, format string, args ...any) {
		out = append(out, doc.Fault(fmt.Sprintf(format, args...), path...))
	}
	if s := r.Block.Severity; s.Plain+s.Middle+s.Subtle != 100 {
		fault([]any{"block", "severity"}, "severity: the three add up to %d; want 100", s.Plain+s.Middle+s.Subtle)
	}
	if h := r.Harmless; h.CalledArrest >= h.Strips {
		fault([]any{"harmless", "called-arrest"}, "called-arrest is %d of %d strips; want fewer than there are", h.CalledArrest, h.Strips)
	}
	for i, p := range r.Arrest.Pass {
		if p.Misses >= p.Strips {
			fault([]any{"arrest", "pass", i}, "pass: %d misses in %d strips; want fewer misses than strips", p.Misses, p.Strips)
		}
	}
	for i, d := range r.RecheckDays {
		if i > 0 && d <= r.RecheckDays[i-1] {
			fault([]any{"recheck-days", i}, "recheck-days: %d comes after %d; want rising days", d, r.RecheckDays[i-1])
		}
	}
	return out
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
