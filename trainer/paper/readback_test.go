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

// drawn draws a lead and reads the dot rows of each column.
func drawn(v paper.View, row []float64, rate float64) (paper.View, []inked) {
	v.Cols, v.Rows = int(math.Ceil(readSeconds*v.DotsPerSecond()/2)), 60
	e := paper.Reduce(v, row, rate, 0)
	v = v.Follow(e)
	c := paper.NewCanvas(look.New(nil, look.Options{Palette: look.None}))
	c.Reset(v.Cols, v.Rows)
	c.Trace(v, e)
	columns := make([]inked, int(readSeconds*v.DotsPerSecond()))
	for x := range columns {
		columns[x] = inked{-1, -1}
		for y := range 4 * v.Rows {
			if c.Dot(x, y) {
				if columns[x].top < 0 {
					columns[x].top = y
				}
				columns[x].foot = y
			}
		}
	}
	return v, columns
}

// dots brings columns back to millivolts: the two ends of each, the one nearer to where
// the line came from first, at twice the rate of the columns. A dot's value is that of
// its middle. A spike stands in the middle of its column, and the line goes on below it.
func dots(v paper.View, columns []inked, spikes []int, rate float64) []float64 {
	value := func(y int) float64 { return v.Baseline + float64(v.Rows/2*4-y)/v.DotsPerMV() }
	heights := map[int]float64{}
	for _, x := range spikes {
		before := columns[x-1]
		tip := columns[x].top
		if before.top-tip < columns[x].foot-before.foot {
			tip = columns[x].foot
		}
		heights[x] = value(tip) - value(before.foot)
		columns[x] = columns[x-1]
	}
	var mv []float64
	last := 0.0
	for _, k := range columns {
		if k.top < 0 {
			mv = append(mv, math.NaN(), math.NaN())
			continue
		}
		a, b := value(k.top), value(k.foot)
		if math.Abs(b-last) < math.Abs(a-last) {
			a, b = b, a
		}
		mv, last = append(mv, a, b), b
	}
	line := smooth(mv, 2*v.DotsPerSecond(), rate)
	for x, height := range heights {
		line[int((float64(x)+0.5)/v.DotsPerSecond()*rate)] += height
	}
	return line
}

// needles are the columns in which some lead has a needle.
func needles(leads [][]inked) (at []int) {
	for x := 1; x < len(leads[0])-1; x++ {
		if slices.ContainsFunc(leads, func(l []inked) bool { return needle(l[x-1], l[x], l[x+1]) }) {
			at = append(at, x)
		}
	}
	return at
}

// inked is the dot rows of a column from top to foot, -1 where there are none.
type inked struct{ top, foot int }

// needle reports whether a column rises or falls by needleDots from a still line before
// it and stands out as far beyond the column after it. A Q or R wave has a slope in the
// columns beside it.
func needle(before, here, after inked) bool {
	if before.top < 0 || after.top < 0 || before.foot-before.top > stillDots {
		return false
	}
	return min(before.top, after.top)-here.top >= needleDots && after.foot-before.foot <= stillDots ||
		here.foot-max(before.foot, after.foot) >= needleDots && before.top-after.top <= stillDots
}

const (
	needleDots = 3
	stillDots  = 1
)

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
// from their samples, at least so many are read as themselves from the dots they are
// drawn with, in percent. What is lost: at the base scale P waves and delta waves of one
// dot, and a QRS whose width a column of 25 ms makes wide. Pacing is counted apart: its
// spikes last 2 ms. In columns of 12.5 ms a spike is a needle without slopes, a QRS has
// some; in columns of 25 ms a narrow QRS has none either, so the base scale does not tell
// pacing. Bounds may only rise.
func TestTheDotsAreEnough(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	bounds := map[paper.Scale]struct{ all, paced float64 }{paper.Base: {84, 0}, paper.Double: {95, 72}}
	seeds := uint64(1)
	if n, err := strconv.ParseUint(os.Getenv("TELLTRACE_STRIPS"), 10, 64); err == nil {
		seeds = n
	}
	ages := []ecg.Age{ecg.Days(10), ecg.Months(6), ecg.Years(6), ecg.Years(40)}
	for scale, least := range bounds {
		var all, paced share
		for _, r := range rhythm.All() {
			var own share
			for _, age := range ages {
				for seed := range seeds {
					readAgain(t, ecg.Synthetic(r.ID, age, seed+1), scale, &own)
				}
			}
			if r.Family == lesson.Paced {
				paced.add(own)
			} else {
				all.add(own)
			}
			why, lost := lostInDots[r.ID]
			if own.kept < own.read {
				t.Logf("scale %d: %s %d of %d %s", scale, r.ID, own.kept, own.read, why)
			}
			if scale == paper.Double && !lost && own.read > 0 {
				assert.GreaterOrEqual(t, own.percent(), 50.0, "%s is told by its dots", r.ID)
			}
		}
		t.Logf("scale %d: recognised by their dots %d of %d strips that are by their samples, %.1f %%; paced %d of %d, %.1f %%",
			scale, all.kept, all.read, all.percent(), paced.kept, paced.read, paced.percent())
		assert.GreaterOrEqual(t, all.percent(), least.all, "scale %d", scale)
		assert.GreaterOrEqual(t, paced.percent(), least.paced, "scale %d, paced", scale)
	}
}

// lostInDots are the entries of which fewer than half are read as themselves at the
// double scale, and why.
var lostInDots = map[string]string{
	"dual-chamber-pacing":                 "spikes of both chambers, and a narrow Q read as one more: spikes at the wrong time",
	"polymorphic-ventricular-tachycardia": "few are read from their samples; its low beats are dots apart: uneven RR",
}

// A share is how many strips are recognised by their samples, and of these by their
// dots.
type share struct{ read, kept int }

func (s *share) add(o share) { s.read, s.kept = s.read+o.read, s.kept+o.kept }

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
	again := s
	again.MV = nil
	views, columns := make([]paper.View, len(s.Leads)), make([][]inked, len(s.Leads))
	for i, l := range s.Leads {
		views[i], columns[i] = drawn(paper.View{Scale: scale}, s.Row(l), s.Rate)
	}
	var spikes []int
	if scale == paper.Double {
		spikes = needles(columns)
	}
	for i := range s.Leads {
		again.MV = append(again.MV, dots(views[i], columns[i], spikes, s.Rate))
	}
	seen, err := measure.Read(again, ecg.II, limits)
	require.NoError(t, err)
	if recognised(seen, id.Rhythm) {
		count.kept++
	} else {
		t.Logf("scale %d: %s is read as %q: %v", scale, id, seen.Name, seen.Reasons)
	}
}
