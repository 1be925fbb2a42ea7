package placing_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/placing"
	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
)

// The rules for both cables and codes are those of three monitor manuals (tables of letters
// and colours, read): the four colours that both codes use stand for other sites in each.
func TestCodes(t *testing.T) {
	for e, want := range map[ecg.Electrode][2]string{
		ecg.RA: {"RA white", "R red"}, ecg.LA: {"LA black", "L yellow"}, ecg.LL: {"LL red", "F green"},
		ecg.RL: {"RL green", "N black"}, ecg.V: {"V brown", "C white"},
	} {
		assert.Equal(t, want[0], placing.AAMI.Clip(e))
		assert.Equal(t, want[1], placing.IEC.Clip(e))
	}
}

// Moving two clips on the trunk gives the samples that the same pair swapped gives in the
// pipeline, which is held to the published pictures (synth.TestEveryPairOfLimbClips), and
// what the feedback says of the leads I, II and III holds in them.
func TestEverySwapGivesThePictureTheFeedbackNames(t *testing.T) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 11)
	right, _, err := placing.Trace(id, placing.Five, placing.Right(placing.Five))
	require.NoError(t, err)
	for _, pair := range placing.Pairs {
		a, b := artifact.Pair(pair)
		moved := maps.Clone(placing.Right(placing.Five))
		moved[a], moved[b] = moved[b], moved[a]
		got, _, err := placing.Trace(id, placing.Five, moved)
		require.NoError(t, err)

		swapped := id
		swapped.Artifact, swapped.Place, swapped.Trunk = "swapped-electrodes", pair, true
		swapped.Leads = got.Leads
		want, _, err := synth.Render(swapped, got.Seconds())
		require.NoError(t, err)
		for row := range got.MV {
			require.InDeltaSlice(t, want.MV[row], got.MV[row], 1e-9, "%s: %s", pair, got.Leads[row])
		}

		for _, turn := range placing.Exchanges[pair] {
			from := make([]float64, len(got.MV[0]))
			if turn.From != "" {
				for i, v := range right.Row(turn.From) {
					from[i] = turn.Sign * v
				}
			}
			require.InDeltaSlice(t, from, got.Row(turn.Lead), 1e-9, "%s: %s", pair, turn.Lead)
		}
	}
	assert.Equal(t, "I is upside down; II is what III was; III is what II was", placing.Becomes("RA-LA"))
	assert.Contains(t, placing.Becomes("RA-RL"), "II is a straight line")
}

// Both rotations of the three limb clips (derived table of the leads' formulas): R on LA, L
// on LL, F on RA gives III, -I, -II; R on LL, L on RA, F on LA gives -II, -III, I. A clip
// that is off takes its leads with it; without the reference there is none.
func TestAnyPlacement(t *testing.T) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(40), 3)
	trace := func(cable []ecg.Electrode, at placing.Placement) ecg.Strip {
		s, _, err := placing.Trace(id, cable, at)
		require.NoError(t, err)
		return s
	}
	right := trace(placing.Three, placing.Right(placing.Three))
	for _, c := range []struct {
		at   placing.Placement
		want map[ecg.Lead]ecg.Lead // with a minus
	}{
		{placing.Placement{ecg.RA: placing.LeftShoulder, ecg.LA: placing.LeftRibs, ecg.LL: placing.RightShoulder},
			map[ecg.Lead]ecg.Lead{ecg.I: ecg.III, ecg.II: "-I", ecg.III: "-II"}},
		{placing.Placement{ecg.RA: placing.LeftRibs, ecg.LA: placing.RightShoulder, ecg.LL: placing.LeftShoulder},
			map[ecg.Lead]ecg.Lead{ecg.I: "-II", ecg.II: "-III", ecg.III: ecg.I}},
	} {
		got := trace(placing.Three, c.at)
		for lead, from := range c.want {
			name, turned := strings.CutPrefix(string(from), "-")
			for i, v := range right.Row(ecg.Lead(name)) {
				if turned {
					v = -v
				}
				require.InDelta(t, v, got.Row(lead)[i], 1e-9, "%s of %v", lead, c.at)
			}
		}
	}
	off := placing.Right(placing.Five)
	delete(off, ecg.LA)
	s, m, err := placing.Trace(id, placing.Five, off)
	require.NoError(t, err)
	shapes := placing.Complexes(s, m)
	assert.True(t, shapes[ecg.I].Flat && shapes[ecg.III].Flat && shapes[ecg.V1].Flat)
	assert.False(t, shapes[ecg.II].Flat, "II does without LA")
	off = placing.Right(placing.Five)
	delete(off, ecg.RL)
	s, m, err = placing.Trace(id, placing.Five, off)
	require.NoError(t, err)
	for lead, c := range placing.Complexes(s, m) {
		assert.True(t, c.Flat, "%s without the reference", lead)
	}
}

// Every kind of task can be drawn at every seed, in both codes, has a right and a wrong answer
// for each field, and its strip can be made.
func TestEveryTaskCanBeDrawn(t *testing.T) {
	for kind := range placing.Kinds {
		for seed := range uint64(12) {
			for _, code := range []placing.Code{placing.AAMI, placing.IEC} {
				d, err := placing.Draw(kind, code, rand.New(rand.NewPCG(seed, 1)))
				require.NoError(t, err, "kind %d, seed %d", kind, seed)
				require.NoError(t, d.Check(), "kind %d, seed %d", kind, seed)
				s, m, err := d.Trace(d.Start())
				require.NoError(t, err)
				assert.Len(t, placing.Describe(s, m), len(s.Leads))
				for i, k := range d.Mark(make([]task.Value, len(d.Fields))) {
					assert.NotEmpty(t, k.Why, "kind %d: %s", kind, d.Fields[i].Name)
				}
			}
		}
	}
	_, err := placing.Draw(placing.Kinds, placing.AAMI, rand.New(rand.NewPCG(1, 1)))
	assert.ErrorContains(t, err, "there is no task")
}

// Where two clips are to be found, all limb leads pointed up before, as the task says; a fault
// shows within the last seconds, in the leads that the reason names.
func TestWhatIsAskedCanBeSeen(t *testing.T) {
	for seed := range uint64(25) {
		for _, kind := range []int{1, 4, 6, 9} {
			d, err := placing.Draw(kind, placing.IEC, rand.New(rand.NewPCG(seed, 4)))
			require.NoError(t, err)
			clean := d.Strip
			clean.Artifact, clean.Place = "", ""
			before, marks, err := synth.Render(clean, 10)
			require.NoError(t, err)
			if kind == 1 {
				for l, c := range placing.Complexes(before, marks) {
					assert.True(t, c.Up(), "%s: %s", d.Strip, l)
				}
				continue
			}
			after, _, err := d.Trace(d.Start())
			require.NoError(t, err)
			spared := map[string]ecg.Lead{"RA": ecg.III, "LA": ecg.II, "LL": ecg.I}[d.Strip.Place]
			for row, l := range after.Leads {
				if l == spared {
					assert.NotContains(t, placing.Describe(after, marks)[row], "; with", "%s: %s", d.Strip, l)
				}
				moved := 0.0
				for i := 3250; i < 5000; i++ { // 3.5 s, as 70 columns show
					moved = max(moved, math.Abs(after.MV[row][i]-before.MV[row][i]))
				}
				if l == spared {
					continue
				}
				assert.Greater(t, moved, 0.1, "%s: %s", d.Strip, l)
				said := placing.Describe(after, marks)[row]
				switch d.Strip.Artifact {
				case "loose-electrode":
					assert.Contains(t, said, "sudden jumps", "%s: %s", d.Strip, l)
				case "mains-hum":
					assert.Contains(t, said, "trembling band", "%s: %s", d.Strip, l)
				case "disconnected-lead":
					assert.Contains(t, said, "a straight line", "%s: %s", d.Strip, l)
				}
			}
		}
	}
}

// Newborn skin is never rubbed and gets no alcohol (common practice, published neonatal
// skin-care guidance); that of others is washed, without alcohol (AACN practice alert, read).
func TestSkinByAge(t *testing.T) {
	seen := map[bool]bool{}
	for seed := range uint64(40) {
		d, err := placing.Draw(4, placing.AAMI, rand.New(rand.NewPCG(seed, 2)))
		require.NoError(t, err)
		skin := d.Fields[2]
		require.Equal(t, "skin", skin.Name)
		young := d.Strip.Age.Days() < 28
		seen[young] = true
		for _, c := range skin.Choices {
			if strings.Contains(c.Words, "alcohol") {
				assert.False(t, c.Right)
				assert.Equal(t, young, c.Unsafe)
			}
			if strings.Contains(c.Words, "rub lightly") {
				assert.Equal(t, !young, c.Right)
				assert.Equal(t, young, c.Unsafe)
			}
		}
	}
	assert.Len(t, seen, 2, "newborns and others were drawn")
}

// A fault spoils the limb leads of its electrode and leaves the third as it was (formula
// table common to monitor manuals, read), as the reason that is given says:
// by less, or more, than a dot of the drawing.
func TestAFaultSpoilsTheLeadsThatTheReasonNames(t *testing.T) {
	clean := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 4)
	clean.Trunk, clean.Artifact, clean.Place = true, "swapped-electrodes", "LL-RL" // of no effect
	before, _, err := synth.Render(clean, 8)
	require.NoError(t, err)
	for _, kind := range []string{"loose-electrode", "mains-hum"} {
		for e, spared := range map[string]ecg.Lead{"RA": ecg.III, "LA": ecg.II, "LL": ecg.I, "RL": ""} {
			id := clean
			id.Artifact, id.Place = kind, e
			got, _, err := synth.Render(id, 8)
			require.NoError(t, err)
			for _, l := range got.Leads {
				most := 0.0
				for i, v := range got.Row(l) {
					most = max(most, math.Abs(v-before.Row(l)[i]))
				}
				if l == spared {
					assert.Less(t, most, 0.0625, "%s at %s leaves %s", kind, e, l)
				} else {
					assert.Greater(t, most, 0.0625, "%s at %s spoils %s", kind, e, l)
				}
			}
		}
	}
}
