package watch_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/script"
	"telltrace/scenarios/watch"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// Seven alarms in eight ask for nothing (Bonafide 2015: 87.1 % in children's intensive
// care), at each bed something turns, and nothing overlaps in a bed.
func TestPlan(t *testing.T) {
	for seed := range uint64(40) {
		for beds := 1; beds <= 4; beds++ {
			p, err := watch.NewPlan(seed, beds)
			require.NoError(t, err)
			again, err := watch.NewPlan(seed, beds)
			require.NoError(t, err)
			assert.Equal(t, p, again)
			alarms, real, quiet := 0, 0, 0
			for i, e := range p.Events {
				assert.True(t, 0 < e.From && e.From < e.To && e.To < watch.Minutes, "%+v", e)
				if e.Alarm != "" && !e.Limit {
					alarms++
				}
				switch e.Kind {
				case watch.Turn:
					real++
				case watch.Quiet:
					quiet++
				}
				for _, o := range p.Events[:i] {
					if o.Bed == e.Bed && o.Kind != watch.Parent && e.Kind != watch.Parent {
						assert.GreaterOrEqual(t, e.From, o.To, "seed %d: %+v %+v", seed, o, e)
					}
				}
			}
			assert.Equal(t, 8*beds, alarms)
			assert.Equal(t, beds, real)
			assert.Equal(t, (beds+1)/2, quiet)
			share := float64(alarms-real) / float64(alarms)
			assert.True(t, 0.85 <= share && share <= 0.90, "%g need nothing", share)
		}
	}
	_, err := watch.NewPlan(1, 5)
	assert.ErrorContains(t, err, "choose 1 to 4")
}

// Every strip of every plan can be played.
func TestPlansCanBePlayed(t *testing.T) {
	for seed := range uint64(10) {
		p, err := watch.NewPlan(seed, 4)
		require.NoError(t, err)
		assert.NoError(t, p.Check(), "seed %d", seed)
	}
}

// nurse does what is taught: looks, then what is needed, and charts each hour. She knows of
// quiet changes by looking at the condition, as a reader of strips would.
func nurse(w *watch.Watch) {
	for bed := range w.Plan().Beds {
		c := w.Condition(bed)
		alarm := w.Alarm(bed)
		switch {
		case w.Asks() >= 0 && w.Do(bed, watch.Answer, 0):
			return
		case alarm != "" && !w.Looked(bed):
			w.Do(bed, watch.Look, 0)
			return
		case alarm != "" && c.State == ecg.NoSignsOfLife:
			w.Do(bed, watch.Compress, 0)
			return
		case alarm != "" && c.Artifact != "":
			w.Do(bed, watch.Mend, 0)
			return
		case alarm != "" && c.Rhythm != "sinus-tachycardia" || alarm != "" && c.State == ecg.PoorPerfusion:
			w.Do(bed, watch.Call, 0)
			return
		case alarm == "" && c.Rhythm != w.Plan().Beds[bed].Rhythm && c.State == ecg.Stable && w.Do(bed, watch.Tell, 0):
			return
		case !limited(w, bed):
			w.SetLimits(bed, watch.Practice(w.Usual(bed)))
			return
		case w.Charted(bed)/60 < w.Minute()/60 || w.Charted(bed) < 0:
			w.Do(bed, watch.Chart, 0)
			return
		}
	}
}

func limited(w *watch.Watch, bed int) bool {
	_, set := w.Limits(bed)
	return set
}

func whole(t testing.TB, seed uint64, beds int, act func(*watch.Watch)) *watch.Watch {
	w, err := watch.New(seed, beds)
	require.NoError(t, err)
	for m := range watch.Minutes + 1 {
		w.Advance(m)
		act(w)
	}
	require.True(t, w.Over())
	return w
}

// Any minute of a watch can be seen again as it was.
func TestAgain(t *testing.T) {
	type page struct {
		signs  []watch.Signs
		stage  []watch.Stage
		alarm  []string
		busy   bool
		charts int
		asks   int
	}
	see := func(w *watch.Watch) (p page) {
		for bed := range w.Plan().Beds {
			p.signs = append(p.signs, w.Signs(bed))
			p.stage = append(p.stage, w.Condition(bed))
			p.alarm = append(p.alarm, string(w.Alarm(bed))+w.Finding(bed))
			p.charts += w.Charted(bed)
		}
		_, _, p.busy = w.Busy()
		p.asks = w.Asks()
		return p
	}
	pages := map[int]page{}
	w := whole(t, 7, 4, func(w *watch.Watch) {
		nurse(w)
		pages[w.Minute()] = see(w)
	})
	for m := 0; m <= watch.Minutes; m += 17 {
		assert.Equal(t, pages[m], see(watch.Again(w.Plan(), w.Deeds(), m)), "minute %d", m)
	}
}

// Vital signs of a patient who is well fit the age (synth/norms); without signs of life
// there are none.
func TestSignsFit(t *testing.T) {
	for seed := range uint64(3) {
		whole(t, seed, 4, func(w *watch.Watch) {
			if w.Minute()%20 != 0 {
				return
			}
			for bed, b := range w.Plan().Beds {
				c, s := w.Condition(bed), w.Signs(bed)
				switch {
				case c.State == ecg.NoSignsOfLife:
					assert.Zero(t, s.Pulse)
					assert.Zero(t, s.SpO2)
					assert.Zero(t, s.Systolic)
				case c.State == ecg.Stable && c.Artifact == "" && c.Rhythm == "sinus-rhythm":
					rate := norms.HeartRate(b.Age).Accept
					assert.True(t, 0.9*rate.Low <= float64(s.Heart) && float64(s.Heart) <= 1.1*rate.High, "%s: %+v", b.Age, s)
					assert.InDelta(t, s.Heart, s.Pulse, 0.1*float64(s.Heart))
					assert.Greater(t, s.SpO2, 93)
				}
			}
		})
	}
}

// While she is busy at one bed nothing is done at another; calling and compressions break
// that off.
func TestBusy(t *testing.T) {
	w, err := watch.New(1, 2)
	require.NoError(t, err)
	w.Advance(3)
	assert.True(t, w.Do(0, watch.TwelveLead, 0))
	assert.False(t, w.Do(1, watch.Look, 0))
	until, bed, busy := w.Busy()
	assert.Equal(t, 8, until)
	assert.Zero(t, bed)
	assert.True(t, busy)
	assert.True(t, w.Do(1, watch.Call, 0))
	assert.False(t, w.Do(2, watch.Look, 0), "there is no such bed")
}

// Where limits of common practice (20 % below and above the usual rate) were set in the first
// minutes no more than the eight alarms of each bed sound; where none were, six more do at
// each, and where they lie too near the usual rate these do as well. Limits that never alarm
// keep silent where the rate turns for the worse.
func TestLimits(t *testing.T) {
	sounded := func(low, high float64) (usual, limits int, slow []watch.Run) {
		w := whole(t, 5, 2, func(w *watch.Watch) {
			for bed := range 2 {
				if u := w.Usual(bed); high > 0 && !limited(w, bed) {
					w.SetLimits(bed, watch.Range{Low: int(low * u), High: int(high * u)})
				}
			}
		})
		for _, r := range w.Runs() {
			switch {
			case r.Event.Limit && r.Sounded:
				limits++
			case r.Sounded:
				usual++
			case r.Event.Kind == watch.Turn:
				slow = append(slow, r)
			}
		}
		return usual, limits, slow
	}
	for _, x := range []struct {
		low, high     float64
		usual, limits int
	}{{0, 0, 16, 12}, {0.8, 1.2, 16, 0}, {0.98, 1.2, 16, 12}, {0.8, 1.02, 16, 12}} {
		usual, limits, quiet := sounded(x.low, x.high)
		assert.Equal(t, x.usual, usual, "%+v", x)
		assert.Equal(t, x.limits, limits, "%+v", x)
		assert.Empty(t, quiet)
	}
	usual, limits, _ := sounded(0.4, 1.9)
	assert.Less(t, usual, 16, "crying does not reach them")
	assert.Zero(t, limits)
}

// A rate that turns for the worse sounds when it leaves the limits: at once with those of
// common practice; with far wider ones a slow one only when the heart stands still, a fast
// one never.
func TestWideLimitsKeepSilent(t *testing.T) {
	turn := func(seed uint64, wide bool) (watch.Run, int) {
		since := -1
		w := whole(t, seed, 1, func(w *watch.Watch) {
			if !limited(w, 0) {
				r := watch.Practice(w.Usual(0))
				if wide {
					r = watch.Range{Low: 20, High: 300}
				}
				w.SetLimits(0, r)
			}
			for _, r := range w.Runs() {
				if r.Event.Kind == watch.Turn && r.Sounded && since < 0 {
					since = w.Minute() - r.Event.From
				}
			}
		})
		i := slices.IndexFunc(w.Runs(), func(r watch.Run) bool { return r.Event.Kind == watch.Turn })
		return w.Runs()[i], since
	}
	seen := map[script.Alarm]int{}
	for seed := range uint64(30) {
		r, since := turn(seed, false)
		alarm := r.Event.Alarm
		if alarm != script.AlarmLow && alarm != script.AlarmHigh {
			continue
		}
		seen[alarm]++
		assert.Zero(t, since, "seed %d: %s", seed, alarm)
		want := -1
		for _, s := range r.Event.Stages {
			if s.Rhythm == "asystole" {
				want = s.After
			}
		}
		_, since = turn(seed, true)
		assert.Equal(t, want, since, "seed %d: %s", seed, alarm)
	}
	assert.Positive(t, seen[script.AlarmLow])
	assert.Positive(t, seen[script.AlarmHigh])
}

// A patient of a hundred a minute: common practice is about 80 to 120, and then judgement; a
// low limit above the usual rate alarms without end.
func TestLimitsFit(t *testing.T) {
	assert.Equal(t, watch.Range{Low: 80, High: 120}, watch.Practice(100))
	for _, r := range []watch.Range{{80, 120}, {75, 125}, {85, 115}} {
		assert.True(t, r.Fits(100), r)
	}
	for _, r := range []watch.Range{{100, 120}, {95, 120}, {80, 104}, {50, 120}, {80, 180}} {
		assert.False(t, r.Fits(100), r)
	}
	assert.ErrorContains(t, watch.Range{Low: 120, High: 80}.Check(), "the low one must lie below the high one")
	assert.ErrorContains(t, watch.Range{Low: 0, High: 80}.Check(), "choose them from 20 to 300")
	w, err := watch.New(1, 1)
	require.NoError(t, err)
	assert.False(t, w.SetLimits(0, watch.Range{Low: 120, High: 80}))
	assert.False(t, w.SetLimits(1, watch.Range{Low: 80, High: 120}), "there is no such bed")
	assert.False(t, w.Do(0, watch.Limits, 0), "limits have numbers")
	require.True(t, w.SetLimits(0, watch.Range{Low: 80, High: 120}))
	set, ok := w.Limits(0)
	assert.True(t, ok)
	assert.Equal(t, watch.Range{Low: 80, High: 120}, set)
}

// BenchmarkWatch is twelve hours at four beds with all signs read every minute.
func BenchmarkWatch(b *testing.B) {
	for i := range b.N {
		whole(b, uint64(i), 4, func(w *watch.Watch) {
			nurse(w)
			for bed := range w.Plan().Beds {
				w.Signs(bed)
			}
		})
	}
}
