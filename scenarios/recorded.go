package scenarios

import (
	"math/rand/v2"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// A Stretch is part of a recording that can be asked about, because its labels say
// what it shows and the catalogue has it.
type Stretch struct {
	At, Seconds float64 // s from the start of the recording
	Subject     string  // catalogue id
}

// stretchSeconds is the usual length of a stretch: a printed strip.
const stretchSeconds = 10

// Beat symbols and rhythm labels are those of the MIT annotation standard (WFDB
// annot(5) and the MIT-BIH Arrhythmia Database Directory; Moody and Mark 2001).
const (
	rhythmSymbol = "+"
	usualBeats   = "N"
	beatSymbols  = "NLRBAaJSVrFejnE/fQ?"
)

// Stretches cuts a labelled recording into parts to ask about, in time order.
// annotations count samples from the start of the recording, rate is in Hz, seconds
// its length. Left out is what the labels do not settle: rhythms the catalogue does
// not have, noise, and beats that are not the usual or premature ventricular ones.
// slow and fast (beats/min) bound the usual rate.
func Stretches(annotations []ecg.Annotation, rate, seconds, slow, fast float64) []Stretch {
	var out []Stretch
	for _, e := range episodes(annotations, rate, seconds) {
		switch e.label {
		case "VT":
			subject := "ventricular-run"
			if e.to-e.from >= 8 {
				subject = "monomorphic-ventricular-tachycardia"
			}
			out = append(out, around(e, seconds, subject))
		case "VF", "VFIB":
			out = append(out, within(e, "coarse-ventricular-fibrillation")...)
		case "SVTA":
			out = append(out, within(e, "supraventricular-tachycardia")...)
		case "B":
			out = append(out, within(e, "ventricular-bigeminy")...)
		case "N", "SBR":
			for _, s := range within(e, "") {
				if s.Subject = usual(annotations, s, rate, slow, fast); s.Subject != "" {
					out = append(out, s)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Stretch) int {
		if a.At < b.At {
			return -1
		}
		if a.At > b.At {
			return 1
		}
		return 0
	})
	return out
}

// An episode is a rhythm label from one time to another, s.
type episode struct {
	label    string
	from, to float64
}

func episodes(annotations []ecg.Annotation, rate, seconds float64) []episode {
	var out []episode
	for _, a := range annotations {
		label, found := strings.CutPrefix(strings.TrimRight(a.Aux, "\x00 "), "(")
		if a.Symbol != rhythmSymbol || !found {
			continue
		}
		at := float64(a.Sample) / rate
		if n := len(out); n > 0 {
			out[n-1].to = at
		}
		out = append(out, episode{label, at, seconds})
	}
	return out
}

// within cuts an episode into stretches of the usual length that lie wholly in it.
// A shorter one of at least six seconds is taken whole.
func within(e episode, subject string) []Stretch {
	const least = 6
	if d := e.to - e.from; d < stretchSeconds {
		if d < least {
			return nil
		}
		return []Stretch{{e.from, d, subject}}
	}
	var out []Stretch
	for at := e.from; at+stretchSeconds <= e.to; at += stretchSeconds {
		out = append(out, Stretch{at, stretchSeconds, subject})
	}
	return out
}

// around is a stretch with a short episode near its end, so that it runs in.
func around(e episode, seconds float64, subject string) Stretch {
	length := max(stretchSeconds, e.to-e.from+4)
	at := min(max(e.to+1-length, 0), max(seconds-length, 0))
	return Stretch{at, min(length, seconds), subject}
}

// usual names a stretch of sinus rhythm by its beats and its rate, "" when other
// beats or noise spoil it.
func usual(annotations []ecg.Annotation, s Stretch, rate, slow, fast float64) string {
	ventricular, run, longest := 0, 0, 0
	first, last, beats := 0, 0, 0
	for _, a := range annotations {
		if t := float64(a.Sample) / rate; t < s.At || t >= s.At+s.Seconds {
			continue
		}
		switch {
		case a.Symbol == "V":
			ventricular++
			run++
			longest = max(longest, run)
		case a.Symbol == usualBeats:
			run = 0
		case a.Symbol == rhythmSymbol:
			continue
		default:
			return ""
		}
		if strings.Contains(beatSymbols, a.Symbol) {
			if beats == 0 {
				first = a.Sample
			}
			last = a.Sample
			beats++
		}
	}
	if beats < 3 {
		return ""
	}
	bpm := 60 * float64(beats-1) * rate / float64(last-first)
	switch {
	case longest >= 3:
		return "ventricular-run"
	case longest == 2:
		return "" // a pair is neither
	case ventricular > 0:
		return "premature-ventricular-beats"
	case bpm < slow:
		return "sinus-bradycardia"
	case bpm > fast:
		return "sinus-tachycardia"
	default:
		return "sinus-rhythm"
	}
}

// ChoicesFor draws the choices for a strip whose subject is known, from a set of
// look-alikes that has it.
func ChoicesFor(subject string, rng *rand.Rand) []string {
	offered, _ := Wish{Subjects: []string{subject}}.draw(rng)
	return offered
}
