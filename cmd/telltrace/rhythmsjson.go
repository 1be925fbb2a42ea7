package main

import (
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
)

// The catalogue as rhythms --format json prints it. Fields may be added, never
// renamed: other programs read them.
type (
	catalogue struct {
		Caution string  `json:"caution"`
		Rhythms []entry `json:"rhythms"`
	}
	entry struct {
		ID         string          `json:"id"`
		Name       string          `json:"name"`
		Family     lesson.Family   `json:"family"`
		LookFirst  string          `json:"look_first"`
		LookFor    []string        `json:"look_for"`
		Criteria   []criterionJSON `json:"criteria"`
		LookAlikes []lookAlikeJSON `json:"look_alikes"`
		Care       []careJSON      `json:"care"`
	}
	criterionJSON struct {
		Measure lesson.Measure `json:"measure"`
		Unit    string         `json:"unit"` // "1" for a ratio or a count
		Ranges  []rangeJSON    `json:"ranges"`
	}
	rangeJSON struct {
		Age    string `json:"age"`
		Band   string `json:"band"`
		Low    number `json:"low"`
		High   number `json:"high"`
		Source string `json:"source"`
	}
	lookAlikeJSON struct {
		ID         string `json:"id"`
		Difference string `json:"difference"`
		Bedside    string `json:"bedside"`
		Source     string `json:"source"`
	}
	careJSON struct {
		State       string          `json:"state"`
		Shown       bool            `json:"shown"` // the entry is shown with a patient in this state
		Age         string          `json:"age"`
		Band        string          `json:"band"`
		Urgency     lesson.Urgency  `json:"urgency"`
		FirstAction lesson.Action   `json:"first_action"`
		FirstWords  string          `json:"first_action_words"`
		AlsoRight   []lesson.Action `json:"also_right"`
		Then        string          `json:"then"`
		Caution     string          `json:"caution"`
		Source      string          `json:"source"`
	}
)

func catalogueJSON(lessons []lesson.Lesson, ages []aged) catalogue {
	out := catalogue{Caution: look.Caution, Rhythms: []entry{}}
	for _, l := range lessons {
		e := entry{ID: l.ID, Name: l.Name, Family: l.Family, LookFirst: l.LookFirst, LookFor: l.LookFor,
			Criteria: []criterionJSON{}, LookAlikes: []lookAlikeJSON{}}
		for _, c := range l.Criteria {
			j := criterionJSON{Measure: c.Measure, Unit: unitOf(c.Measure)}
			for _, a := range ages {
				r := c.At(a.age)
				j.Ranges = append(j.Ranges, rangeJSON{a.age.String(), a.band(), rounded(r.Low, step4), rounded(r.High, step4), r.Source})
			}
			e.Criteria = append(e.Criteria, j)
		}
		for _, a := range l.LookAlikes {
			e.LookAlikes = append(e.LookAlikes, lookAlikeJSON{a.ID, a.Difference, a.Bedside, a.Source})
		}
		for i, s := range statesOf(l) {
			for _, a := range ages {
				c := l.Care(a.age, s)
				e.Care = append(e.Care, careJSON{State: string(s), Shown: i < len(l.States), Age: a.age.String(), Band: a.band(),
					Urgency: c.Urgency, FirstAction: c.First, FirstWords: c.First.Words(), AlsoRight: append([]lesson.Action{}, c.Also...),
					Then: c.Then, Caution: c.Caution, Source: c.Source})
			}
		}
		out.Rhythms = append(out.Rhythms, e)
	}
	return out
}

// unitOf is the unit of a measure's range in the catalogue.
func unitOf(m lesson.Measure) string {
	switch m {
	case lesson.Rate:
		return "beats/min"
	case lesson.PRTime, lesson.QRSTime, lesson.QTTime, lesson.QTcBazett:
		return "s"
	case lesson.PeakToPeak:
		return "mV"
	case lesson.Dominant:
		return "Hz"
	default:
		return "1"
	}
}
