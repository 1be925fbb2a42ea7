package artifact

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// ramp is a Source of a few rows that end after a number of frames.
type ramp struct {
	rows, frames, at int
}

func (r *ramp) Fill(dst [][]float64) (int, error) {
	n := min(len(dst[0]), r.frames-r.at)
	if n == 0 {
		return 0, ecg.EOF
	}
	for row := range dst {
		for i := range n {
			dst[row][i] = float64(row) + float64(r.at+i)/1000
		}
	}
	r.at += n
	return n, nil
}

var (
	electrodes = []ecg.Electrode{ecg.RA, ecg.LA, ecg.LL, ecg.V}
	seven      = []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V1}
)

func setting(place string, seed uint64) Setting {
	return Setting{Rate: 500, Electrodes: electrodes, Leads: seven, Place: place, RNG: rand.New(rand.NewPCG(seed, 0))}
}

// stages are the wrappers of a kind, each with the number of its rows.
func stages(k Kind) map[string]struct {
	wrap func(ecg.Source, Setting) ecg.Source
	rows int
} {
	type stage = struct {
		wrap func(ecg.Source, Setting) ecg.Source
		rows int
	}
	out := map[string]stage{}
	for name, s := range map[string]stage{
		"electrodes": {k.Electrodes, len(electrodes)}, "leads": {k.Leads, len(seven)}, "pulse": {k.Pulse, 1},
	} {
		if s.wrap != nil {
			out[name] = s
		}
	}
	return out
}

func table(rows, frames int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, frames)
		for k := range out[i] {
			out[i][k] = math.NaN()
		}
	}
	return out
}

// Every wrapper keeps the contract of a Source (ecg.Source): any chunks give the
// same samples, a short read is passed on, what lies beyond it is left alone, and the
// end stays the end.
func TestWrappersAreSources(t *testing.T) {
	const frames = 9000
	for _, k := range All() {
		for name, s := range stages(k) {
			for _, place := range append(k.Places(), "") {
				wrap := func() ecg.Source { return s.wrap(&ramp{rows: s.rows, frames: frames}, setting(place, 7)) }
				exercise(t, wrap, s.rows, frames, fmt.Sprintf("%s:%s at the %s", k.ID, place, name))
			}
		}
	}
}

// exercise holds one wrapper over a ramp to the contract.
func exercise(t *testing.T, wrap func() ecg.Source, rows, frames int, name string) {
	whole := table(rows, frames+100)
	n, err := wrap().Fill(whole)
	require.NoError(t, err)
	require.Equal(t, frames, n, "%s: a short read", name)
	for row := range whole {
		assert.True(t, math.IsNaN(whole[row][frames]), "%s writes beyond what it read", name)
		assert.False(t, math.IsNaN(whole[row][frames-1]))
	}

	src := wrap()
	rng := rand.New(rand.NewPCG(8, 0))
	for at := 0; at < frames; {
		dst := table(rows, 1+rng.IntN(900))
		n, err := src.Fill(dst)
		require.NoError(t, err)
		for row := range dst {
			require.Equal(t, whole[row][at:at+n], dst[row][:n], "%s, frame %d", name, at)
		}
		at += n
	}
	for range 3 {
		n, err := src.Fill(table(rows, 10))
		assert.Zero(t, n)
		assert.ErrorIs(t, err, ecg.EOF, name)
	}
}

// Which leads an electrode spoils, from the formulas of the leads (monitor manuals,
// read): a limb electrode its two limb leads, all augmented leads and V; the chest
// electrode V alone, the reference all.
func TestLeadsThatUseAnElectrode(t *testing.T) {
	for e, want := range map[ecg.Electrode][]bool{ // I II III aVR aVL aVF V1
		ecg.RA: {true, true, false, true, true, true, true},
		ecg.LA: {true, false, true, true, true, true, true},
		ecg.LL: {false, true, true, true, true, true, true},
		ecg.V:  {false, false, false, false, false, false, true},
		ecg.RL: {true, true, true, true, true, true, true},
	} {
		for i, l := range seven {
			assert.Equal(t, want[i], uses(l, e), "%s with %s", l, e)
		}
	}
}

// A drawn electrode spoils lead II, which is shown first, and leaves one limb lead; all
// drawn places occur, and a place that is named is the place.
func TestPlaces(t *testing.T) {
	for _, k := range All() {
		for _, place := range k.Drawn {
			e := ecg.Electrode(place)
			if !slices.Contains(electrodes, e) {
				continue // a pair, a fault, or the reference, which spares no lead
			}
			assert.True(t, uses(ecg.II, e), "%s at %s", k.ID, e)
			assert.False(t, uses(ecg.I, e) && uses(ecg.III, e), "%s at %s leaves no limb lead", k.ID, e)
		}
		found := map[string]bool{}
		for seed := range uint64(60) {
			found[k.Place(ecg.Identity{Seed: seed})] = true
		}
		for _, place := range k.Places() {
			assert.Equal(t, slices.Contains(k.Drawn, place), found[place], "%s at %s", k.ID, place)
			assert.Equal(t, place, k.Place(ecg.Identity{Seed: 1, Place: place}))
		}
	}
}

func TestByID(t *testing.T) {
	for _, k := range All() {
		got, ok := ByID(k.ID)
		assert.True(t, ok)
		assert.Equal(t, k.ID, got.ID)
	}
	_, ok := ByID("sinus-rhythm")
	assert.False(t, ok)
}

// A lead without its electrode is flat with mains pick-up of constant height (50 Hz;
// constant amplitude even on a flat line: standard, from memory); the leads that do
// not use it go on untouched.
func TestDisconnectedLead(t *testing.T) {
	for _, place := range disconnectedLead.Places() {
		at := ecg.Electrode(place)
		for seed := range uint64(5) {
			src := disconnectedLead.Leads(&ramp{rows: len(seven), frames: 5000}, setting(place, seed))
			got := table(len(seven), 5000)
			_, err := src.Fill(got)
			require.NoError(t, err)
			for row, l := range seven {
				if !uses(l, at) {
					assert.InDelta(t, float64(row)+4.999, got[row][4999], 0, "%s does not use %s", l, at)
					continue
				}
				low, high := math.Inf(1), math.Inf(-1)
				for _, v := range got[row] {
					low, high = min(low, v), max(high, v)
				}
				assert.Less(t, high-low, 0.04, "flat")
				assert.Greater(t, high-low, 0.008, "but not dead: mains")
				for i := 10; i < 5000; i++ {
					assert.InDelta(t, got[row][i-10], got[row][i], 1e-9, "50 Hz: every 10 frames the same")
				}
			}
		}
	}
}

// Movement shakes its own electrode and hardly any other, in bouts with rests, in the
// band where fibrillation and tachycardia live (common practice: 0.5-8 Hz).
func TestMovement(t *testing.T) {
	for seed := range uint64(10) {
		src := movement.Electrodes(&ramp{rows: 4, frames: 30000}, setting("LL", seed))
		got := table(4, 30000)
		_, err := src.Fill(got)
		require.NoError(t, err)
		shake := func(row, i int) float64 { return got[row][i] - float64(row) - float64(i)/1000 }
		largest, still := 0.0, 0
		for i := range 30000 {
			v := shake(2, i)
			largest = math.Max(largest, math.Abs(v))
			if v == 0 {
				still++
			}
			for _, row := range []int{0, 1, 3} {
				require.InDelta(t, 0.04*v, shake(row, i), 1e-9)
			}
			if i > 0 {
				require.Less(t, math.Abs(v-shake(2, i-1)), 0.06, "no wave of a limb jumps")
			}
		}
		assert.Greater(t, largest, 0.4, "as large as the complexes")
		assert.Less(t, largest, 1.4)
		assert.Greater(t, still, 1000, "it rests between bouts")
		assert.Less(t, still, 9000, "and is there most of the time")
	}
}
