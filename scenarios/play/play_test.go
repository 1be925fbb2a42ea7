package play_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/library"
	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

func begin(t *testing.T, name string, seed uint64) *play.Play {
	t.Helper()
	s, err := library.Find(name)
	require.NoError(t, err)
	p, err := play.New(s, seed)
	require.NoError(t, err)
	return p
}

func here(p *play.Play) string { e, _ := p.Episode(); return string(e.Name) }

// A look takes a second, a pulse that is not there ten; doing something breaks it off.
func TestLookingTakesTime(t *testing.T) {
	p := begin(t, "flat-at-night", 1)
	p.Advance(2)
	p.Look(script.LookPatient)
	p.Look(script.LookPulse) // one at a time
	assert.False(t, p.Seen(script.LookPatient))
	p.Advance(3)
	assert.True(t, p.Seen(script.LookPatient))
	assert.False(t, p.Seen(script.LookPulse))
	p.Do(lesson.Silence)
	p.Advance(22.9)
	assert.Equal(t, "now", here(p))
	p.Advance(23)
	assert.Equal(t, "worse", here(p), "silenced and nothing else for twenty seconds")
	p.Look(script.LookPulse)
	p.Advance(27)
	assert.False(t, p.Seen(script.LookPulse), "still feeling")
	p.Do(lesson.Compress)
	assert.Equal(t, "helped", here(p))
	assert.True(t, p.Over())
	kinds := []play.Kind{}
	for _, e := range p.Events() {
		kinds = append(kinds, e.Kind)
	}
	assert.Equal(t, []play.Kind{play.Begins, play.Looks, play.Sees, play.Does, play.Begins, play.Looks, play.Breaks, play.Does, play.Begins, play.Ends}, kinds)
}

// A look that leads to another episode has shown what is to be seen there.
func TestLookingLeadsOn(t *testing.T) {
	p := begin(t, "kicking", 1)
	p.Look(script.LookPatient)
	p.Advance(1.5)
	assert.Equal(t, "calmer", here(p))
	assert.True(t, p.Seen(script.LookPatient))
	assert.False(t, p.Seen(script.LookPulse))
	assert.Equal(t, "Awake and pink, looks at you.", p.Finding(script.LookPatient))
}

// Looking after silencing means that it was not silencing only.
func TestSilencedOnly(t *testing.T) {
	p := begin(t, "flat-at-night", 1)
	p.Do(lesson.Silence)
	p.Advance(10)
	p.Look(script.LookPatient)
	p.Advance(60)
	assert.Equal(t, "now", here(p))
}

// learners play a scenario in their ways: one does nothing, one looks and does what is
// taught, one does anything.
func learners(seed uint64) map[string]func(*play.Play) {
	rng := rand.New(rand.NewPCG(seed, 5))
	return map[string]func(*play.Play){
		"nothing": func(*play.Play) {},
		"taught": func(p *play.Play) {
			e, began := p.Episode()
			switch since := p.Now() - began; {
			case since < 1:
				p.Look(script.LookPatient)
			case since > 2.5 && since < 3:
				care := e.Care(p.Script().Patient.Age.Exact())
				for _, a := range append([]lesson.Action{care.First}, care.Also...) {
					if a != lesson.LookCall {
						p.Do(a)
						return
					}
				}
			}
		},
		"anything": func(p *play.Play) {
			switch rng.IntN(12) {
			case 0:
				p.Look(script.Looks[rng.IntN(len(script.Looks))])
			case 1:
				p.Do(script.Acts()[rng.IntN(len(script.Acts()))])
			}
		},
	}
}

// Every scenario plays to its end on three seeds, whatever the learner does, within
// the time its own file gives it; and twice the same way.
func TestAllPlayToTheirEnd(t *testing.T) {
	for _, s := range library.All() {
		for seed := range uint64(3) {
			for who := range learners(seed) {
				run := func() *play.Play {
					p, err := play.New(s, seed)
					require.NoError(t, err)
					act := learners(seed)[who]
					for now := 0.0; !p.Over() && now < 3600; now += 0.5 {
						p.Advance(now)
						act(p)
					}
					return p
				}
				p := run()
				require.True(t, p.Over(), "%s, seed %d, %s", s.Name, seed, who)
				require.NoError(t, synth.Check(p.Identity()), s.Name)
				assert.Equal(t, p.Events(), run().Events())
			}
		}
	}
}

// Every branch can be taken: for each one a way there is found and gone, by its own
// acts and the clock.
func TestEveryBranchIsReached(t *testing.T) {
	taken, all := 0, 0
	for _, s := range library.All() {
		ways := map[script.Name][]script.Branch{s.Episodes[0].Name: {}}
		for queue := []script.Name{s.Episodes[0].Name}; len(queue) > 0; queue = queue[1:] {
			at := queue[0]
			for _, e := range s.Episodes {
				for _, b := range e.Next {
					if _, known := ways[b.To]; e.Name == at && !known {
						ways[b.To] = append(append([]script.Branch{}, ways[at]...), b)
						queue = append(queue, b.To)
					}
				}
			}
		}
		for _, e := range s.Episodes {
			for _, b := range e.Next {
				all++
				p, err := play.New(s, 1)
				require.NoError(t, err)
				for _, step := range append(append([]script.Branch{}, ways[e.Name]...), b) {
					take(p, step)
				}
				if here(p) == string(b.To) {
					taken++
				} else {
					t.Errorf("%s: the branch from %s to %s is not taken; it came to %s", s.Name, e.Name, b.To, here(p))
				}
			}
		}
	}
	t.Logf("%d of %d branches taken (%.0f %%)", taken, all, 100*float64(taken)/float64(all))
}

func take(p *play.Play, b script.Branch) {
	_, began := p.Episode()
	switch {
	case b.Time > 0:
		p.Advance(began + b.Time)
	case b.Silenced > 0:
		p.Do(lesson.Silence)
		p.Advance(p.Now() + b.Silenced)
	case b.Looked != "":
		p.Look(b.Looked)
		p.Advance(p.Now() + 11)
	default:
		p.Do(b.Did)
	}
}

// The strip of a play is one strip: episode after episode it equals, sample by sample
// in every lead, what its identity plays when it is opened anew.
func TestFeedIsOneStrip(t *testing.T) {
	p := begin(t, "double-the-pulse", 3)
	f, err := p.Feed()
	require.NoError(t, err)
	leads, witnesses := f.Channels()
	rows := make([][]float64, len(leads)+len(witnesses))
	got := make([][]float64, len(rows))
	for now := 0.0; now < 150; now += 0.5 {
		p.Advance(now)
		for i := range rows {
			rows[i] = make([]float64, 250)
		}
		_, err := f.Fill(rows)
		require.NoError(t, err)
		for i := range rows {
			got[i] = append(got[i], rows[i]...)
		}
	}
	id := f.Identity()
	assert.Equal(t, fmt.Sprintf("%d/peaked-t-waves/9y/3;state=no-signs-of-life;then=hyperkalaemic-sine-wave@87,asystole@132", ecg.Engine), id.String())
	strip, _, err := synth.Render(id, 150)
	require.NoError(t, err)
	for i, lead := range leads {
		assert.Equal(t, strip.Row(lead), got[i][:len(strip.Row(lead))], lead)
	}
}

// Where the flow stops with an episode, the arterial pressure sinks without a step and
// the saturation stands for seconds, as in an arrest that a strip plays by itself.
func TestFlowStopsWithoutAStep(t *testing.T) {
	p := begin(t, "flat-at-night", 2)
	p.Do(lesson.Silence) // after twenty seconds: standstill
	f, err := p.Feed()
	require.NoError(t, err)
	rows := make([][]float64, 5)
	const stops = 20 + play.Opening
	last, largest, usual, pressure := 0.0, 0.0, 0.0, 0.0
	const opening = play.Opening
	play := func(seconds float64) {
		for i := range rows {
			rows[i] = make([]float64, int(500*seconds))
		}
		_, err := f.Fill(rows)
		require.NoError(t, err)
		pressure = rows[4][len(rows[4])-1]
	}
	for now := 0.0; now < stops+5; now += 0.1 {
		p.Advance(now - opening)
		play(0.1)
		for _, v := range rows[4] {
			step := max(v-last, last-v)
			if now > stops-0.5 {
				largest = max(largest, step)
			} else if now > 1 {
				usual = max(usual, step)
			}
			last = v
		}
	}
	assert.Equal(t, "worse", here(p))
	assert.LessOrEqual(t, largest, 1.2*usual, "mmHg from sample to sample")
	assert.Less(t, pressure, 30.0)
	_, found := f.Oxygen()
	assert.True(t, found, "the number stands for seconds")
	play(20)
	_, found = f.Oxygen()
	assert.False(t, found)
}
