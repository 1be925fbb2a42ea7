package bedside_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/watch"
	"telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/scoring/stats"
)

// shift plays a watch; each time an event is on in a bed, act says what is done, minutes after
// it began.
func shift(t *testing.T, beds int, act func(w *watch.Watch, r watch.Run, since int)) *watch.Watch {
	t.Helper()
	w, err := watch.New(11, beds)
	require.NoError(t, err)
	for m := range watch.Minutes + 1 {
		w.Advance(m)
		if m < beds*3 && m%3 == 0 {
			require.True(t, w.SetLimits(m/3, watch.Practice(w.Usual(m/3))))
		}
		for _, r := range append([]watch.Run{}, w.Runs()...) {
			if !r.Over {
				act(w, r, m-r.Event.From)
			}
		}
	}
	return w
}

// Who looks, and two minutes later does what is needed: all is right but what was not
// charted. Counts worked out by hand from the plan: eight alarms a bed, one of them real.
func TestWatchDoneRight(t *testing.T) {
	w := shift(t, 1, func(w *watch.Watch, r watch.Run, since int) {
		bed := r.Event.Bed
		if r.Seen < 0 && r.Event.Alarm != "" {
			w.Do(bed, watch.Look, 0)
		}
		if since < 2 || r.Helped >= 0 {
			return
		}
		switch r.Event.Kind {
		case watch.Turn:
			if !w.Do(bed, watch.Compress, 0) || r.Event.Stages[0].State != "no-signs-of-life" {
				w.Do(bed, watch.Call, 0)
			}
		case watch.Cable:
			w.Do(bed, watch.Mend, 0)
		case watch.Quiet:
			w.Do(bed, watch.Tell, 0)
		case watch.Parent:
			w.Do(bed, watch.Answer, 0)
		}
	})
	m := bedside.MarkWatch(w)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Detection.Signal)
	assert.Equal(t, stats.Count{K: 0, N: 7}, m.Detection.Noise)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Turns)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Quiet)
	assert.Len(t, m.Delays, 2)
	for _, d := range m.Delays {
		assert.True(t, 2 <= d && d <= 5, d)
	}
	assert.Equal(t, stats.Count{K: 0, N: 12}, m.Charted)
	assert.Equal(t, m.PatientFirst.N, m.PatientFirst.K)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Parents)
	assert.Zero(t, m.FalseCalls)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Limits)
	assert.Equal(t, stats.Count{K: 1, N: 1}, m.Fitting)
	for _, x := range m.Runs {
		assert.Equal(t, ledger.Right, x.Verdict, "%+v", x)
		a := x.Answer(w.Plan())
		a.ID, a.Presentation, a.Learner, a.At = "1", "2", "me", time.Date(2025, 11, 14, 3, 0, 0, 0, time.UTC)
		assert.NoError(t, ledger.NewMemory().Add(context.Background(), a))
	}
}

// Who does nothing misses it all; who calls for every alarm cannot tell them apart and
// leans to calling (criterion below 0; Stanislaw and Todorov 1999).
func TestWatchExtremes(t *testing.T) {
	idle := bedside.MarkWatch(shift(t, 4, func(*watch.Watch, watch.Run, int) {}))
	assert.Equal(t, stats.Count{K: 0, N: 4}, idle.Detection.Signal)
	assert.Equal(t, stats.Count{K: 0, N: 4}, idle.Turns)
	assert.Equal(t, stats.Count{K: 0, N: 48}, idle.Charted)
	assert.Empty(t, idle.Delays)
	assert.Contains(t, []ledger.Verdict{ledger.Wrong, ledger.Critical}, idle.Verdict)
	assert.Positive(t, idle.Detection.C(), "leans to not calling")

	eager := bedside.MarkWatch(shift(t, 4, func(w *watch.Watch, r watch.Run, since int) {
		if since == 1 && r.Event.Alarm != "" {
			w.Do(r.Event.Bed, watch.Call, 0)
		}
	}))
	assert.Equal(t, stats.Count{K: 28, N: 28}, eager.Detection.Noise)
	assert.Equal(t, 28, eager.FalseCalls)
	assert.InDelta(t, 1.282-2.114, eager.Detection.DPrime(), 0.01, "log-linear: z(4.5/5) less z(28.5/29), normal table")
	assert.Negative(t, eager.Detection.C())
}

// An hour is charted when it was charted within it.
func TestCharting(t *testing.T) {
	w, err := watch.New(3, 2)
	require.NoError(t, err)
	for _, m := range []int{5, 61, 119, 180} { // hours 0, 1 twice, 3
		w.Advance(m)
		require.True(t, w.Do(0, watch.Chart, 0))
	}
	w.Advance(240)
	assert.Equal(t, stats.Count{K: 3, N: 8}, bedside.MarkWatch(w).Charted)
}

// Help that comes too late, and none.
func TestTurns(t *testing.T) {
	at := func(wait int) ledger.Verdict {
		w := shift(t, 1, func(w *watch.Watch, r watch.Run, since int) {
			if r.Event.Kind == watch.Turn && since == wait {
				w.Do(r.Event.Bed, watch.Look, 0)
				w.Do(r.Event.Bed, watch.Call, 0)
				w.Do(r.Event.Bed, watch.Compress, 0)
			}
		})
		for _, x := range bedside.MarkWatch(w).Runs {
			if x.Run.Event.Kind == watch.Turn {
				return x.Verdict
			}
		}
		return ""
	}
	assert.Equal(t, ledger.Right, at(1))
	assert.NotEqual(t, ledger.Right, at(14))
	assert.Contains(t, []ledger.Verdict{ledger.Wrong, ledger.Critical}, at(50))
}

// Where limits were so wide that no alarm told of a turn, the marking says so; what stayed
// inside limits asked for nothing; and limits that do not fit are counted.
func TestWatchWithLimitsThatNeverAlarm(t *testing.T) {
	silent, inside := 0, 0
	for seed := range uint64(30) {
		w, err := watch.New(seed, 1)
		require.NoError(t, err)
		require.True(t, w.SetLimits(0, watch.Range{Low: 20, High: 300}))
		w.Advance(watch.Minutes)
		m := bedside.MarkWatch(w)
		assert.Equal(t, stats.Count{K: 0, N: 1}, m.Fitting, "seed %d", seed)
		for _, x := range m.Runs {
			switch {
			case x.Run.Event.Kind == watch.Turn && !x.Run.Sounded:
				silent++
				assert.Contains(t, x.Note, "the limits were too wide")
				assert.NotEqual(t, ledger.Right, x.Verdict)
			case x.Run.Event.Kind == watch.Turn:
				assert.NotContains(t, x.Note, "the limits were too wide")
			case x.Run.Event.Kind == watch.Passing && !x.Run.Sounded:
				inside++
				assert.Equal(t, ledger.Right, x.Verdict)
			}
		}
	}
	assert.Positive(t, silent)
	assert.Positive(t, inside)
}
