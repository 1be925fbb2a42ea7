package practise

import (
	"math"

	"telltrace/scenarios"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/paper"
	"telltrace/trainer/stage"
	"telltrace/trainer/tape"
	"telltrace/trainer/telling"
)

// Said is the strip of what was named for a patient in place of the truth, false
// when that has no strip ("not sure"). Of some seeds from seed on it is the one whose
// rate comes nearest to that of the marks, so that the rate does not tell where it
// need not.
func Said(id string, age ecg.Age, seed uint64, near ecg.Marks) (*synth.Player, bool) {
	if _, ok := synth.Lesson(id); !ok {
		return nil, false
	}
	const tried = 8
	want, best, away := medianRR(near), seed, math.Inf(1)
	for s := seed; s < seed+tried && !math.IsNaN(want); s++ {
		p, err := synth.Open(scenarios.Showing(id, age, s))
		if err != nil {
			return nil, false
		}
		t := tape.New(p, otherShown)
		t.PlayTo(otherShown)
		if d := math.Abs(math.Log(medianRR(p.Marks(0, otherShown)) / want)); d < away {
			best, away = s, d
		}
	}
	p, err := synth.Open(scenarios.Showing(id, age, best))
	return p, err == nil
}

// medianRR is the middle interval between beats, s; NaN where there is none.
func medianRR(m ecg.Marks) float64 {
	var rr []float64
	for i := 1; i < len(m.Beats); i++ {
		rr = append(rr, m.Beats[i].QRS.Onset-m.Beats[i-1].QRS.Onset)
	}
	return middle(rr)
}

// alikeOnLeads reports whether nothing on the leads tells two entries apart: complexes with
// and without a pulse, where the pulse is what tells. A difference measured between two
// such strips would be one of chance.
func alikeOnLeads(a, b string) bool {
	l, _ := synth.Lesson(a)
	like, ok := l.LookAlike(b)
	return ok && like.Told != lesson.OnLeads
}

// Tell finds what tells one held strip from another, at the scale and in the lead
// they are drawn in, and brings it into both windows; nil where the leads do not tell.
func Tell(these, those *stage.Stage, marks, otherMarks ecg.Marks, pair [2]string) *telling.Difference {
	if alikeOnLeads(pair[0], pair[1]) {
		return nil
	}
	d, ok := telling.Apart(these.View(), sideOf(these, marks), sideOf(those, otherMarks))
	if !ok {
		return nil
	}
	these.Bring(d.On[0].From)
	these.Bring(d.On[0].To)
	those.Bring(d.On[1].From)
	those.Bring(d.On[1].To)
	return &d
}

// told is how much of the end of a strip is compared, s: little more than a window, so
// that what tells is near.
const told = 14

func sideOf(s *stage.Stage, marks ecg.Marks) telling.Side {
	from := max(s.Edge()-told, 0)
	strip, at := s.Strip(from, s.Edge())
	side := telling.Side{MV: strip.Row(s.Lead()), Rate: strip.Rate, At: at}
	for _, p := range marks.P {
		if p.Onset >= from {
			side.Marks.P = append(side.Marks.P, p)
		}
	}
	for _, b := range marks.Beats {
		if b.QRS.Onset >= from && (!b.P.Present() || b.P.Onset >= from) {
			side.Marks.Beats = append(side.Marks.Beats, b)
		}
	}
	return side
}

// Marked draws a held strip with its marks, and of two strips what tells them apart
// first, as what must not be missed; d is nil where there is nothing to tell.
func Marked(s *stage.Stage, marks ecg.Marks, d *telling.Difference, which int) []string {
	o := s.Marked(marks)
	if d != nil {
		b := d.On[which]
		b.Miss = true
		o.Brackets = append([]paper.Bracket{b}, o.Brackets...)
	}
	return s.Draw(o)
}

// Caption is the line above a strip, with what tells in words: there is not always
// room for it on the paper.
func Caption(words string, d *telling.Difference, which int) string {
	if d == nil {
		return words
	}
	return words + ": " + d.On[which].Text
}
