package report

import (
	"fmt"
	"math"
	"strings"

	"telltrace/scoring/drill"
	"telltrace/scoring/items"
	"telltrace/scoring/report/pdf"
)

func join(words []string) string { return strings.Join(words, "; ") }

func figure(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return fmt.Sprintf("%.2f", x)
}

// itemSection says what a drill's item analysis came to: decisions before reliability.
func itemSection(d drill.Drill, t items.Table) Section {
	a := t.Analyse(d.Pass.Right / 100)
	s := Section{Title: "Items of " + harmless(d.Title),
		Head: []string{"item", "share right", "item-rest r", "90 % interval", "chosen", "Rasch", "look at"}}
	say := func(format string, args ...any) { s.Lines = append(s.Lines, fmt.Sprintf(format, args...)) }
	if c := a.Consistency; c.OK {
		say("Of 100 learners %.0f would get the same decision from a parallel drill (kappa %.2f; Livingston and Lewis).", 100*c.Twice, c.Kappa)
	}
	say("%d first sittings, mean %s right; %s reached the mark of %.0f %%, whose standard error is %s.",
		a.Learners, percent(a.Mean), percent(a.PassShare), d.Pass.Right, percent(a.SEM))
	if len(a.Near) > 0 {
		names := make([]string, len(a.Near))
		for i, n := range a.Near {
			names[i] = harmless(n)
		}
		say("Within one standard error of the mark, so let them sit a parallel drill: %s.", strings.Join(names, ", "))
	}
	if !math.IsNaN(a.Alpha) {
		say("Reliability: alpha %.2f. %s", a.Alpha, a.Caution)
	}
	rasch, err := t.Rasch()
	if err == nil && rasch.Rough {
		say("Rasch difficulties from fewer than 100 learners are rough.")
	}
	for i, it := range a.Items {
		var chosen, look []string
		for _, c := range it.Choices[:min(len(it.Choices), 5)] {
			name := c.ID
			if name == "" {
				name = "time ran out"
			}
			chosen = append(chosen, fmt.Sprintf("%s %d", harmless(name), c.N))
		}
		if it.Poor {
			look = append(look, "who did well on the rest did not do better here")
		}
		if it.Misleads != "" {
			look = append(look, "misleads good learners to "+harmless(it.Misleads))
		}
		interval, difficulty := "", ""
		if !math.IsNaN(it.Rest) {
			interval = figure(it.RestLow) + " to " + figure(it.RestHigh)
		}
		if err == nil {
			difficulty = figure(rasch.Difficulty[i])
		}
		name := fmt.Sprintf("%s %s", it.Question, it.Strip)
		if it.Strip == "" {
			name = fmt.Sprintf("%s %s, %s", it.Question, it.Subject, it.Severity)
		}
		s.Rows = append(s.Rows, []string{pdf.Harmless(name, 150), percent(it.Difficulty), figure(it.Rest), interval, strings.Join(chosen, ", "), difficulty, join(look)})
		s.Bars = append(s.Bars, it.Difficulty)
	}
	return s
}
