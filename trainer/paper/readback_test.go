package paper_test

import (
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/measure"
	"telltrace/synth/rhythm"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
)

// readSeconds is the usual length of a printed strip, s.
const readSeconds = 10

// dots draws a lead and reads it back from the dots alone: the two ends of each dot
// column, the one nearer to where the line came from first, at twice the rate of the
// columns. A dot's value is that of its middle.
func dots(v paper.View, row []float64, rate float64) (mv []float64, dotRate float64) {
	v.Cols, v.Rows = int(math.Ceil(readSeconds*v.DotsPerSecond()/2)), 60
	e := paper.Reduce(v, row, rate, 0)
	v = v.Follow(e)
	c := paper.NewCanvas(look.New(nil, look.Options{Palette: look.None}))
	c.Reset(v.Cols, v.Rows)
	c.Trace(v, e)
	last := 0.0
	for x := range int(readSeconds * v.DotsPerSecond()) {
		top, foot := -1, -1
		for y := range 4 * v.Rows {
			if c.Dot(x, y) {
				if top < 0 {
					top = y
				}
				foot = y
			}
		}
		if top < 0 {
			mv = append(mv, math.NaN(), math.NaN())
			continue
		}
		value := func(y int) float64 { return v.Baseline + float64(v.Rows/2*4-y)/v.DotsPerMV() }
		a, b := value(top), value(foot)
		if math.Abs(b-last) < math.Abs(a-last) {
			a, b = b, a
		}
		mv, last = append(mv, a, b), b
	}
	return mv, 2 * v.DotsPerSecond()
}

// smooth brings a staircase of dots to a rate at which it can be read: on straight
// lines.
func smooth(mv []float64, from, to float64) []float64 {
	out := make([]float64, int(float64(len(mv))/from*to))
	for i := range out {
		at := float64(i)/to*from - 0.5
		k := min(max(int(math.Floor(at)), 0), len(mv)-2)
		out[i] = mv[k] + (mv[k+1]-mv[k])*min(max(at-float64(k), 0), 1)
	}
	return out
}

// recognised reports whether a reading has the entry's name.
func recognised(r measure.Reading, id string) bool {
	return r.Name == id || slices.Contains(r.Also, id)
}

// What the eye sees is enough to decide: of the strips that are read as themselves
// from their samples, so many are read as themselves from the dots they are drawn
// with, in percent. What is lost: at the base scale P waves and delta waves of one dot,
// and a QRS whose width a column of 25 ms makes wide. Pacing is counted apart: its
// spikes last 2 ms, and a reader of dots takes the column they are drawn in for a QRS;
// an eye sees that it has no width. Bounds may only rise.
func TestTheDotsAreEnough(t *testing.T) {
	bounds := map[paper.Scale]float64{paper.Base: 82, paper.Double: 94}
	seeds := uint64(1)
	if n, err := strconv.ParseUint(os.Getenv("TELLTRACE_STRIPS"), 10, 64); err == nil {
		seeds = n
	}
	ages := []ecg.Age{ecg.Days(10), ecg.Months(6), ecg.Years(6), ecg.Years(40)}
	for scale, least := range bounds {
		var all, paced share
		for _, r := range rhythm.All() {
			count := &all
			if r.Family == lesson.Paced {
				count = &paced
			}
			for _, age := range ages {
				for seed := range seeds {
					readAgain(t, ecg.Synthetic(r.ID, age, seed+1), scale, count)
				}
			}
		}
		t.Logf("scale %d: recognised by their dots %d of %d strips that are by their samples, %.1f %%; paced %d of %d",
			scale, all.kept, all.read, all.percent(), paced.kept, paced.read)
		assert.GreaterOrEqual(t, all.percent(), least, "scale %d", scale)
	}
}

// A share is how many strips are recognised by their samples, and of these by their
// dots.
type share struct{ read, kept int }

func (s share) percent() float64 { return 100 * float64(s.kept) / float64(s.read) }

// readAgain reads a strip from its samples and, where it is recognised, from its dots.
func readAgain(t *testing.T, id ecg.Identity, scale paper.Scale, count *share) {
	t.Helper()
	s, _, err := synth.Render(id, readSeconds)
	require.NoError(t, err)
	limits := measure.WithLimits(synth.Limits(id.Age))
	whole, err := measure.Read(s, ecg.II, limits)
	require.NoError(t, err)
	if !recognised(whole, id.Rhythm) {
		return
	}
	count.read++
	drawn := s
	drawn.MV = nil
	for _, l := range s.Leads {
		mv, rate := dots(paper.View{Scale: scale}, s.Row(l), s.Rate)
		drawn.MV = append(drawn.MV, smooth(mv, rate, s.Rate))
	}
	again, err := measure.Read(drawn, ecg.II, limits)
	require.NoError(t, err)
	if recognised(again, id.Rhythm) {
		count.kept++
	} else {
		t.Logf("scale %d: %s is read as %q: %v", scale, id, again.Name, again.Reasons)
	}
}
