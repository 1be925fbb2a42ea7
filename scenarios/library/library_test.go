package library

import (
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/counter"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
)

// Every file is in order and named after its scenario.
func TestFilesAreInOrder(t *testing.T) {
	paths, err := fs.Glob(files, "*.yaml")
	require.NoError(t, err)
	for _, path := range paths {
		src, err := files.ReadFile(path)
		require.NoError(t, err)
		s, err := script.Load(path, src)
		if assert.NoError(t, err) {
			assert.Equal(t, string(s.Name)+".yaml", path)
		}
	}
	assert.Len(t, All(), len(paths))
	_, err = Find("flat-at-nigth")
	assert.ErrorContains(t, err, `did you mean "flat-at-night"?`)
}

// What the library has to cover: every arrest rhythm, every artifact, all ages, and in
// a third of the scenarios nothing needs doing.
func TestCoverage(t *testing.T) {
	require.GreaterOrEqual(t, len(All()), 40)
	rhythms, artifacts, bands, quiet := map[string]bool{}, map[string]bool{}, map[string]bool{}, 0
	for _, s := range All() {
		bands[norms.BandOf(s.Patient.Age.Exact()).Name] = true
		calm := true
		for _, e := range s.Episodes {
			rhythms[e.Rhythm], artifacts[e.Artifact] = true, true
			if !e.Ends() && e.Care(s.Patient.Age.Exact()).First != lesson.Chart {
				calm = false
			}
		}
		if calm {
			quiet++
		}
	}
	t.Logf("%d scenarios, nothing to do in %d of them", len(All()), quiet)
	assert.GreaterOrEqual(t, 3*quiet, len(All()))
	for _, l := range synth.Lessons() {
		if l.Family == lesson.Arrest {
			assert.True(t, rhythms[l.ID], l.ID)
		}
	}
	for _, id := range []string{"coarse-ventricular-fibrillation", "fine-ventricular-fibrillation", "monomorphic-ventricular-tachycardia",
		"polymorphic-ventricular-tachycardia", "torsades-de-pointes", "failure-to-capture", "failure-to-pace", "failure-to-sense", "ventricular-bigeminy", "peaked-t-waves"} {
		assert.True(t, rhythms[id], id)
	}
	for _, k := range artifact.All() {
		assert.True(t, artifacts[k.ID], k.ID)
	}
	for _, b := range norms.Bands() {
		assert.True(t, bands[b.Name], b.Name)
	}
}

// weight is the usual weight at an age, kg: 3.4 at birth, then the rules of thumb of paediatric
// life support courses (half the months + 4 in the first year, 2 x (years + 4) to
// five, 3 x years + 7 to twelve; Advanced Paediatric Life Support, from memory), and
// 50 to 85 for the grown.
func weight(age ecg.Age) (low, high float64) {
	y := age.Years()
	usual := 0.0
	switch {
	case y < 0.08:
		usual = 3.4
	case y < 1:
		usual = 12*y/2 + 4
	case y < 5:
		usual = 2 * (y + 4)
	case y < 12.5:
		usual = 3*y + 7
	default:
		return 40, 95
	}
	return usual * 0.7, usual * 1.3
}

var (
	lively    = regexp.MustCompile(`(?i)pink|awake|asleep|sleeps|answers|sits|plays|looks|warm`)
	poorly    = regexp.MustCompile(`(?i)pale|mottled|cold|grey|dusky|drowsy`)
	lifeless  = regexp.MustCompile(`(?i)does not (respond|breathe|move)|no breath|gasp|limp`)
	collapsed = regexp.MustCompile(`(?i)mottled|grey and|limp|gasp|does not respond`)
	pressure  = regexp.MustCompile(`(\d+) over (\d+)`)
)

// The findings fit the state, and the numbers fit state and age, against the published
// tables of synth/norms.
func TestReviewFindings(t *testing.T) {
	for _, s := range All() {
		age := s.Patient.Age.Exact()
		low, high := weight(age)
		assert.True(t, low <= s.Patient.Weight && s.Patient.Weight <= high, "%s: %g kg at %s", s.Name, s.Patient.Weight, age)
		assert.Contains(t, s.Patient.Sentence, age.Words(), "%s: the sentence says the age", s.Name)
		for seed := range uint64(3) {
			p, err := play.New(s, seed)
			require.NoError(t, err)
			for i, e := range s.Episodes {
				b := p.BedsideOf(i)
				n := b.Numbers
				where := fmt.Sprintf("%s, %s, seed %d: %s %s, %+v", s.Name, e.Name, seed, b.Child, b.Pulse, n)
				assert.LessOrEqual(t, len(b.Child), 69, where)
				systolic := norms.Systolic(age).Accept
				switch e.State {
				case ecg.Stable:
					assert.Regexp(t, lively, b.Child, where)
					assert.NotRegexp(t, collapsed, b.Child, where)
					assert.NotContains(t, b.Pulse, "None", where)
					assert.True(t, systolic.Low-12 <= float64(n.Systolic) && float64(n.Systolic) <= systolic.High+12, where)
					assert.True(t, n.SpO2 >= 90 || strings.Contains(s.Patient.Sentence, "% is ordered"), where)
				case ecg.PoorPerfusion:
					assert.Regexp(t, poorly, b.Child, where)
					assert.Less(t, float64(n.Systolic), norms.Hypotension(age), "low pressure for age (PALS 2015): "+where)
				case ecg.NoSignsOfLife:
					assert.Regexp(t, lifeless, b.Child, where)
					assert.Contains(t, b.Pulse, "None felt", where)
					assert.Zero(t, n.SpO2, where)
				}
				if m := pressure.FindStringSubmatch(e.Look.Line); m != nil && e.State == ecg.Stable {
					sys, _ := strconv.ParseFloat(m[1], 64)
					assert.True(t, systolic.Low <= sys && sys <= systolic.High, "%s: arterial line %s", where, m[0])
				}
			}
		}
	}
}

// The displayed rate of sinus rhythms fits their name at the age (synth/norms), and
// what an alarm says is so, or an artifact or a pause explains it.
func TestReviewRates(t *testing.T) {
	explained := map[script.Alarm][]string{
		script.AlarmNoBeats:     {"asystole", "p-wave-asystole", "agonal-rhythm", "fine-ventricular-fibrillation", "disconnected-lead", "low-amplitude"},
		script.AlarmFibrillates: {"coarse-ventricular-fibrillation", "fine-ventricular-fibrillation", "polymorphic-ventricular-tachycardia", "torsades-de-pointes", "movement", "shivering"},
		script.AlarmElectrode:   {"disconnected-lead", "loose-electrode"},
		script.AlarmNoPulse:     {"pulse-probe-fault", "pulseless-electrical-activity"},
	}
	for _, s := range All() {
		age := s.Patient.Age.Exact()
		usual := norms.HeartRate(age).Accept
		for _, e := range s.Episodes {
			where := fmt.Sprintf("%s, %s", s.Name, e.Name)
			if causes := explained[e.Alarm]; causes != nil && e.Name != "blind" {
				assert.True(t, slices.Contains(causes, e.Rhythm) || slices.Contains(causes, e.Artifact), "%s: %s", where, e.Alarm)
			}
			id := s.Identity(e, 1)
			id.Artifact, id.Place = "", ""
			strip, marks, err := synth.Render(id, 20)
			require.NoError(t, err, where)
			bpm, ok := counter.Of(strip.Row(ecg.II), strip.Rate)
			middle, longest := norms.HeartRateCentiles(age).P[3], 0.0
			for i := 1; i < len(marks.Beats); i++ {
				longest = math.Max(longest, marks.Beats[i].QRS.Onset-marks.Beats[i-1].QRS.Onset)
			}
			switch e.Alarm {
			case script.AlarmLow: // slow, or a gap of half a beat and more, or not all beats can be counted
				assert.True(t, bpm < middle || longest > 1.4*60/bpm || e.Artifact != "", "%s: low rate at %.0f, usual %.0f", where, bpm, middle)
			case script.AlarmHigh:
				assert.True(t, bpm > middle || e.Artifact != "", "%s: high rate at %.0f, usual %.0f", where, bpm, middle)
			case script.AlarmPressure:
				assert.True(t, e.State != ecg.Stable || strings.Contains(e.Look.Line, "transducer"), where)
			case script.AlarmVentricular:
				l, _ := synth.Lesson(e.Rhythm)
				wide := l.Family == lesson.Ventricular || l.Family == lesson.Paced || strings.Contains(e.Rhythm, "bundle")
				assert.True(t, wide || e.Artifact != "", "%s: a run of wide beats in %s", where, e.Rhythm)
			}
			switch e.Rhythm {
			case "sinus-rhythm":
				assert.True(t, ok && usual.Low <= bpm && bpm <= usual.High, "%s: %.0f", where, bpm)
			case "sinus-tachycardia", "supraventricular-tachycardia", "junctional-ectopic-tachycardia":
				assert.Greater(t, bpm, usual.High, where)
			case "sinus-bradycardia":
				assert.Less(t, bpm, usual.Low, where)
			}
		}
	}
}

// Rates that disagree: as the counter of a display counts, T waves double the rate,
// spikes count as beats where nothing answers them, and in bigeminy the pulse is half.
func TestRatesDisagree(t *testing.T) {
	rates := func(name string) (heart, pulse float64, found bool) {
		s, err := Find(name)
		require.NoError(t, err)
		strip, _, err := synth.Render(s.Identity(s.Episodes[0], 1), 30)
		require.NoError(t, err)
		for _, l := range strip.Leads {
			if bpm, ok := counter.Of(strip.Row(l), strip.Rate); ok {
				heart = math.Max(heart, bpm)
			}
		}
		pulse, found = measure.PulseRate(strip.Witness(ecg.Pleth), strip.Rate)
		return heart, pulse, found
	}
	heart, pulse, _ := rates("double-the-pulse")
	assert.InDelta(t, 2, heart/pulse, 0.25, "T waves are counted: %.0f, %.0f", heart, pulse)
	heart, pulse, _ = rates("half-the-pulse")
	assert.InDelta(t, 2, heart/pulse, 0.25, "every second beat is not felt: %.0f, %.0f", heart, pulse)
	heart, _, found := rates("spikes-counted")
	assert.Greater(t, heart, 40.0)
	assert.False(t, found, "nothing flows")
}

// No title gives the answer away.
func TestTitlesDoNotTell(t *testing.T) {
	for _, s := range All() {
		for _, e := range s.Episodes {
			l, _ := synth.Lesson(e.Subject())
			assert.NotContains(t, strings.ToLower(s.Title), strings.ToLower(l.Name))
		}
	}
}
