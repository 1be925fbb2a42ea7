package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The best walk against one that looks at every pair of waves and every place between
// them: giving up early loses no walk that could be believed.
func TestFollowAgainstEveryPair(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	believed := 0
	for trial := range 300 {
		f := follower{rate: 100, miss: make([]float64, 3000)}
		for i := range f.miss {
			f.miss[i] = []float64{1, 1, 1, missedOnT, 0}[(i/7+trial)%5]
		}
		period, seen := 40+90*rng.Float64(), []bump{}
		for at, odd := 20.0, 0.15*float64(trial%5); at < 2990; {
			if rng.Float64() > odd/2 {
				seen = append(seen, bump{peak: int(at + 2*rng.NormFloat64()), height: 0.1})
			}
			if rng.Float64() < odd && at+0.4*period < 2990 {
				seen = append(seen, bump{peak: int(at + 0.4*period), height: 0.1 * rng.Float64()})
			}
			at += period
		}
		best := f.best(seen, march{})
		want := 0.0
		for pp := ppShortest * f.rate; pp <= ppLongest*f.rate; pp *= ppStep {
			want = max(want, everyPair(&f, pp))
		}
		assert.InDelta(t, want, best.score, 1e-9, "trial %d", trial)
		if want > 0 {
			believed++
		}
	}
	assert.Greater(t, believed, 60)
	assert.Less(t, believed, 300, "some are none")
}

// everyPair is the score of the best walk at about a period.
func everyPair(f *follower, about float64) float64 {
	score, from := make([]float64, len(f.seen)), make([]int, len(f.seen))
	missed := func(i, j int, steps float64) (n float64) {
		for k := 1.0; k < steps; k++ {
			n += f.miss[int(f.at[i]+k*(f.at[j]-f.at[i])/steps)]
		}
		return n
	}
	last := 0
	for j := range f.seen {
		from[j] = -1
		for i := j - 1; i >= 0; i-- {
			gap := f.at[j] - f.at[i]
			steps := math.Floor(gap/about + 0.5)
			if steps < 1 || steps > stepsMost || math.Abs(gap-steps*about) > min(ppStray*about, ppStrayMost*f.rate)*math.Sqrt(steps) {
				continue
			}
			if v := score[i] - missed(i, j, steps); v > score[j] {
				score[j], from[j] = v, i
			}
		}
		score[j] += f.weight[j]
		if score[j] > score[last] {
			last = j
		}
	}
	hit, miss, steps, n, first := 0.0, 0.0, 0.0, 0, last
	for j := last; j >= 0; j = from[j] {
		hit, n, first = hit+f.weight[j], n+1, j
		if i := from[j]; i >= 0 {
			s := math.Floor((f.at[j]-f.at[i])/about + 0.5)
			steps, miss = steps+s, miss+missed(i, j, s)
		}
	}
	if n < marchLeast {
		return 0
	}
	period := (f.at[last] - f.at[first]) / steps
	for at := f.at[first] - period; at > 0; at -= period {
		miss += f.miss[int(at)]
	}
	for at := f.at[last] + period; at < float64(len(f.miss)); at += period {
		miss += f.miss[int(at)]
	}
	found, used := hit/(hit+miss), hit/f.all
	if found < marchFound || used < marchUsed || float64(n) < marchSeen*(steps+1) {
		return 0
	}
	return found * used
}

// What a wave stands on is the T of the beat before it, and nothing beyond its end.
func TestTUnderAWave(t *testing.T) {
	m := marker{at: []int{100, 400, 700}, group: []int{0, 1, 0}, complex: []complex{
		{off: 20, tOff: 120, hasT: true, tHeight: 0.2}, {off: 40, tOff: 200, hasT: true, tHeight: -0.5}}}
	for at, want := range map[int]float64{50: 0, 110: 0, 150: 0.2, 219: 0.2, 230: 0, 430: 0, 500: 0.5, 599: 0.5, 610: 0, 760: 0.2, 900: 0} {
		assert.Equal(t, want, m.tUnder(at), "sample %d", at)
	}
}

// How sharply a complex is bent is its greatest change of slope, whatever stands beside it.
func TestBendOfACandidate(t *testing.T) {
	x := bells(10, 500, every(0.5, 1, 10), func(b int) []bell {
		return []bell{{0, 0.012 * (1 + float64(b%2)), 1}} // every second one half as sharp
	})
	all, _ := newSteepness(x, 500).candidates(x)
	var sharp, blunt []float64
	for _, c := range all {
		if at := c.at + 5; (at/500)%2 == 0 && math.Abs(float64(at%500-255)) < 20 {
			sharp = append(sharp, c.bend)
		} else if math.Abs(float64(at%500-255)) < 20 {
			blunt = append(blunt, c.bend)
		}
	}
	assert.Len(t, sharp, 5)
	assert.Len(t, blunt, 5)
	for i, b := range sharp {
		assert.InDelta(t, sharp[0], b, 0.02*sharp[0], "%d", i)
		assert.Greater(t, b, 2.4*blunt[i], "twice as wide: a quarter of the bend, less what the filters take, %d", i)
	}
}

// Waves that curve as the usual P are found wherever they stand, on a slope too and at any
// sample, and nothing else is.
func TestWavesThatCurveAsP(t *testing.T) {
	const rate = 500.0
	usual := make([]float64, 100)
	for i := range usual {
		usual[i] = 0.12 * math.Exp(-0.5*math.Pow(float64(i-50)/10, 2))
	}
	p := pWave{bump: bump{onset: -25, peak: 0, offset: 25, height: 0.12}, from: -50, shape: usual}
	v := make([]float64, 12000)
	var want []int
	for k, at := 0, 300; at < len(v)-300; k, at = k+1, at+401 {
		high := []float64{1, 0.7, 1.4, 0.2, -1}[k%5]
		for i := range v[at-60 : at+60] {
			v[at-60+i] += high * 0.12 * math.Exp(-0.5*math.Pow(float64(i-60)/10, 2))
		}
		if high > likeGain {
			want = append(want, at)
		}
	}
	for i := range v {
		v[i] += 0.5 * math.Sin(2*math.Pi*float64(i)/600) // as slow as T waves
	}
	var found []int
	for _, b := range p.like(v, rate) {
		found = append(found, b.peak)
	}
	if assert.Len(t, found, len(want)) {
		for i, at := range want {
			assert.InDelta(t, at, found[i], 3)
		}
	}
}

// Where the usual P are known, marches are sought at periods that fit them alone: a march of
// half their distance among them, none of two thirds.
func TestPeriodsThatFitTheUsualP(t *testing.T) {
	for usual, want := range map[float64]bool{0: true, 160: true, 80: true, 120: false, 110: false} {
		f := follower{rate: 100, miss: make([]float64, 3000), usual: usual}
		for i := range f.miss {
			f.miss[i] = 1
		}
		var seen []bump
		for at := 40; at < 2900; at += 80 {
			seen = append(seen, bump{peak: at, height: 0.1})
		}
		found := f.best(seen, march{})
		assert.Equal(t, want, len(found.waves) == len(seen), "usual P %g samples apart", usual)
	}
}
