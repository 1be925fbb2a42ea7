package missed

import (
	"io"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	scored "telltrace/scoring/missed"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

func entryOn(t *testing.T, strip, subject string) entry {
	t.Helper()
	id, err := ecg.ParseIdentity(strip)
	require.NoError(t, err)
	return entry{Miss: scored.Miss{Strip: strip, Subject: subject, Question: ledger.Rhythm, ConfusedWith: "sinus-rhythm"}, id: id}
}

func opener() *Model {
	return New(screen.NewEnv(screen.Env{Look: look.New(lipgloss.NewRenderer(io.Discard), look.Options{}), Store: ledger.NewMemory(), Learner: "x", Now: time.Now}), nil)
}

// The opened strip is the missed one, sample by sample, and its marks are the
// engine's own truth.
func TestTheIdenticalStrip(t *testing.T) {
	for _, strip := range []string{"3/supraventricular-tachycardia/4mo/77", "3/sinus-rhythm/10d/7;artifact=movement", "3/third-degree-av-block/6y/3;state=poor-perfusion"} {
		e := entryOn(t, strip, "")
		m := opener()
		m.SetSize(120, 40)
		o := m.opens(e)
		require.NoError(t, o.trouble)
		shown, at := o.main.Strip(0, o.main.Edge())
		assert.Zero(t, at)
		want, marks, err := synth.Render(e.id, shown.Seconds())
		require.NoError(t, err)
		for i := range want.MV {
			assert.Equal(t, want.MV[i], shown.MV[i][:len(want.MV[i])], "%s, lead %s", strip, want.Leads[i])
		}
		assert.Equal(t, marks.Beats, o.marks.Beats, strip)
		assert.True(t, o.main.Held())
	}
}

// What the strip is about has been on the page before it is held: a run of
// ventricular beats may be long in coming.
func TestTheEvidenceIsOnThePage(t *testing.T) {
	for seed := range 20 {
		id := ecg.Synthetic("ventricular-run", ecg.Years(6), uint64(seed))
		e := entryOn(t, id.String(), "ventricular-run")
		m := opener()
		m.SetSize(80, 24)
		o := m.opens(e)
		require.NoError(t, o.trouble)
		run, longest := 0, 0
		for _, b := range o.marks.Beats {
			if run++; b.Origin != ecg.OriginVentricular {
				run = 0
			}
			if b.QRS.Onset > 12-4 {
				longest = max(longest, run)
			}
		}
		assert.GreaterOrEqual(t, longest, 3, "seed %d", seed)
	}
}

func TestDayWord(t *testing.T) {
	zone := time.FixedZone("", 2*60*60)
	now := time.Date(2026, time.March, 1, 0, 30, 0, 0, zone)
	for _, tt := range []struct {
		at   time.Time
		want string
	}{
		{now, "today"},
		{now.Add(-time.Hour), "yesterday"},
		{now.Add(-24 * time.Hour), "yesterday"},
		{now.Add(-25 * time.Hour), "27 Feb"},
		{time.Date(2026, time.January, 12, 9, 0, 0, 0, zone), "12 Jan"},
		{time.Date(2025, time.November, 12, 9, 0, 0, 0, zone), "12 Nov 2025"},
		{now.Add(-45 * time.Minute).UTC(), "yesterday"}, // a day is the learner's own
	} {
		assert.Equal(t, tt.want, dayWord(tt.at, now, zone), "%v", tt.at)
	}
}
