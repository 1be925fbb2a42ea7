package stage

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
)

// staged is a strip on stage at 120 by 12, without colours.
func staged(t *testing.T, l *look.Look) *Stage {
	t.Helper()
	p, err := synth.Open(ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1))
	require.NoError(t, err)
	s := New(l, p, 12)
	s.Resize(120, 12, 3)
	return s
}

// 25 mm/s for a minute is 1500 mm (recorders' usual speed): 2400 dots of 0.625 mm,
// whatever frames were dropped, and the same strip as without any frame between.
func TestAMinuteMoves1500MillimetresWhateverFramesAreDropped(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	l := look.New(nil, look.Options{})
	began := time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)
	slow, never := staged(t, l), staged(t, l)
	before := slow.View().Dot(slow.Edge())
	slow.Run(began)
	never.Run(began)
	end := began.Add(time.Minute)
	for now := began; now.Before(end); now = now.Add(time.Duration(rng.ExpFloat64() * float64(80*time.Millisecond))) {
		slow.Advance(now)
		slow.Draw(nil)
	}
	slow.Advance(end)
	never.Advance(end)
	assert.Equal(t, 2400, slow.View().Dot(slow.Edge())-before)
	assert.Equal(t, never.Draw(nil), slow.Draw(nil))
}

func TestAHeldStripStandsAndGoesOnFromThere(t *testing.T) {
	began := time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)
	s := staged(t, look.New(nil, look.Options{}))
	s.Run(began)
	s.Hold(began.Add(5 * time.Second))
	shown := s.Draw(nil)
	s.Advance(began.Add(50 * time.Second))
	assert.Equal(t, shown, s.Draw(nil))
	s.Pan(0.25)
	assert.NotEqual(t, shown, s.Draw(nil), "held, it can be moved")
	s.Run(began.Add(60 * time.Second))
	s.Advance(began.Add(61 * time.Second))
	assert.InDelta(t, 12+5+1, s.Edge(), 1e-9, "the time on hold does not count")
}

// Whoever hears the table must be able to tell 2:1 block from a slow sinus rhythm, and
// pacing from a wide rhythm of the ventricles: every second P (the definition of 2:1
// block) and spikes stand in it, and in a sinus rhythm neither do.
func TestTheTableTellsBlockedPAndSpikes(t *testing.T) {
	table := func(id string, age ecg.Age, seed uint64) string {
		p, err := synth.Open(ecg.Synthetic(id, age, seed))
		require.NoError(t, err)
		s := New(look.New(nil, look.Options{Plain: true}), p, 12)
		s.Resize(120, 20, 3)
		return strings.Join(s.Table(20), "\n")
	}
	oneAlone := regexp.MustCompile(`(yes|no) +[0-9.]+\b *(\n|$)`)
	told, spiked, waves, wrong := 0, 0, 0, 0
	for seed := range uint64(10) {
		block := table("two-to-one-av-block", ecg.Years(6), seed)
		if rows := len(oneAlone.FindAllString(block, -1)); rows > 0 && rows == strings.Count(block, "before")-1 {
			told++ // one before each beat but the first
		}
		if strings.Contains(table("ventricular-pacing", ecg.Years(6), seed), "spikes at s") {
			spiked++
		}
		if strings.Contains(table("p-wave-asystole", ecg.Years(6), seed), " P waves, the first at second") {
			waves++
		}
		for _, age := range []ecg.Age{ecg.Days(10), ecg.Months(6), ecg.Years(6), ecg.Years(40)} {
			if sinus := table("sinus-rhythm", age, seed+1); strings.Contains(sinus, "alone") || strings.Contains(sinus, "spikes") {
				wrong++
				t.Log(sinus)
			}
		}
		assert.NotContains(t, table("asystole", ecg.Years(6), seed), " P waves")
	}
	assert.Zero(t, wrong, "of 40 sinus rhythms")
	assert.GreaterOrEqual(t, waves, 9, "of 10 strips")
	assert.GreaterOrEqual(t, told, 9, "of 10 strips")
	assert.GreaterOrEqual(t, spiked, 9, "of 10 strips")
}
