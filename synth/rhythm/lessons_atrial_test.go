package rhythm

import (
	"math/rand/v2"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// atrialLessons are the sinus, atrial, junctional and shape entries tested here.
func atrialLessons() []Rhythm {
	return []Rhythm{
		respiratorySinusArrhythmia, sinusPauses,
		prematureAtrialBeats, blockedBigeminy, aberrantlyConductedAtrialBeats, focalAtrialTachycardia,
		wideComplexSupraventricularTachycardia, fibrillatingAtria, preExcitedAtrialFibrillation, flutter,
		multifocalAtrialTachycardia, wanderingAtrialPacemaker,
		prematureJunctionalBeats, junctionalRhythm, acceleratedJunctionalRhythm, junctionalEctopicTachycardia,
		peakedTWaves, hyperkalaemicSineWave, invertedTWaves, stElevation, stDepression, longQTInterval, lowVoltageComplexes,
	}
}

func TestAtrialLessonsAreSound(t *testing.T) {
	order := []string{"Rate", "Rhythm", "P wave", "PR", "QRS", "T wave", "Special"}
	seen := map[string]bool{}
	for _, r := range atrialLessons() {
		assert.NoError(t, r.Lesson.Validate(append(middles(), edges()...)))
		assert.NotEmpty(t, r.Criteria, r.ID)
		assert.Contains(t, r.States, ecg.NoSignsOfLife, r.ID)
		assert.False(t, seen[r.ID], "%s stands twice", r.ID)
		seen[r.ID] = true
		var got []string
		for _, line := range r.LookFor {
			got = append(got, regexp.MustCompile(`^[^:]*`).FindString(line))
		}
		assert.Equal(t, order, got, r.ID)
	}
	assert.Len(t, seen, 23)
}

func TestAtrialLookAlikesAreMutual(t *testing.T) {
	list := map[string]Rhythm{}
	for _, r := range atrialLessons() {
		list[r.ID] = r
	}
	for _, r := range atrialLessons() {
		for _, a := range r.LookAlikes {
			if other, ours := list[a.ID]; ours {
				_, back := other.LookAlike(r.ID)
				assert.True(t, back, "%s names %s, which does not name it back", r.ID, a.ID)
			}
		}
	}
}

func TestAtrialRhythmsBuild(t *testing.T) {
	for _, r := range atrialLessons() {
		for _, age := range middles() {
			for _, state := range ecg.States {
				for seed := range uint64(20) {
					_, _, err := r.Build(age, state, rand.New(rand.NewPCG(seed, 1)))
					require.NoError(t, err, "%s at %s, seed %d", r.ID, age, seed)
				}
			}
		}
	}
}

// First actions, after the AHA 2020 guidelines (from memory) where nothing else is
// said.
func TestAtrialCare(t *testing.T) {
	newborn, child, adult := ecg.Days(10), ecg.Years(8), ecg.Years(40)
	for _, tt := range []struct {
		r     Rhythm
		age   ecg.Age
		state ecg.State
		first lesson.Action
		how   lesson.Urgency
	}{
		{respiratorySinusArrhythmia, child, ecg.Stable, lesson.Chart, lesson.Routine}, // normal: Singh 2011
		{wanderingAtrialPacemaker, newborn, ecg.Stable, lesson.Chart, lesson.Routine}, // Southall 1980, 33 of 134 newborns
		{sinusPauses, newborn, ecg.Stable, lesson.Chart, lesson.Routine},              // Southall 1980, 72 % of a subgroup
		{sinusPauses, adult, ecg.Stable, lesson.AssessTell, lesson.Watch},             // Kusumoto 2018, from memory
		{blockedBigeminy, newborn, ecg.PoorPerfusion, lesson.Support, lesson.Urgent},
		{junctionalRhythm, child, ecg.PoorPerfusion, lesson.Support, lesson.Urgent},
		{fibrillatingAtria, adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{preExcitedAtrialFibrillation, child, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{flutter, newborn, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{junctionalEctopicTachycardia, child, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{peakedTWaves, child, ecg.Stable, lesson.CallStay, lesson.Urgent}, // from memory
		{hyperkalaemicSineWave, adult, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow},
		{stElevation, adult, ecg.Stable, lesson.CallStay, lesson.Urgent}, // chest pain: 12-lead in ten minutes, from memory
		{stElevation, child, ecg.Stable, lesson.AssessTell, lesson.Watch},
	} {
		c := tt.r.Care(tt.age, tt.state)
		assert.Equal(t, tt.first, c.First, "%s, %s, %s", tt.r.ID, tt.age, tt.state)
		assert.Equal(t, tt.how, c.Urgency, "%s, %s, %s", tt.r.ID, tt.age, tt.state)
	}
}

// A wide tachycardia is treated as ventricular (AHA PALS 2020, read): the worse of
// two signs is no pulse.
func TestWideTachycardiaInDoubt(t *testing.T) {
	for _, r := range []Rhythm{wideComplexSupraventricularTachycardia, preExcitedAtrialFibrillation} {
		assert.Contains(t, r.Care(ecg.Years(8), ecg.NotSure).Also, lesson.Compress, r.ID)
		assert.Contains(t, r.Care(ecg.Years(8), ecg.NoSignsOfLife).Then, "shocks", r.ID)
	}
}

// Organised complexes without a pulse are not shocked (AHA 2020, from memory).
func TestShapesWithoutAPulseAreNotShocked(t *testing.T) {
	for _, r := range []Rhythm{invertedTWaves, stElevation, stDepression, longQTInterval, lowVoltageComplexes} {
		assert.Contains(t, r.Care(ecg.Years(8), ecg.NoSignsOfLife).Then, "No shock", r.ID)
	}
}

// Criteria that must exclude each other at every age do, so that no strip fits two
// names.
func TestAtrialCriteriaExcludeEachOther(t *testing.T) {
	for _, age := range append(middles(), edges()...) {
		for _, pair := range []struct {
			m        lesson.Measure
			low, top Rhythm
		}{
			{lesson.Rate, junctionalRhythm, acceleratedJunctionalRhythm},
			{lesson.Rate, acceleratedJunctionalRhythm, junctionalEctopicTachycardia},
			{lesson.PPerQRS, junctionalEctopicTachycardia, thirdDegreeAVBlock},
			{lesson.PPerQRS, focalAtrialTachycardia, flutter},
			{lesson.PShapes, focalAtrialTachycardia, multifocalAtrialTachycardia},
			{lesson.PPerQRS, sinusPauses, blockedBigeminy},
			{lesson.STLevel, stDepression, stElevation},
			{lesson.STLevel, stDepression, invertedTWaves},
			{lesson.THeight, invertedTWaves, peakedTWaves},
			{lesson.QRSTime, peakedTWaves, hyperkalaemicSineWave},
			{lesson.QRSTime, fibrillatingAtria, preExcitedAtrialFibrillation},
			{lesson.QRSTime, supraventricularTachycardia, wideComplexSupraventricularTachycardia},
		} {
			low, top := criterionOf(pair.low, pair.m).At(age), criterionOf(pair.top, pair.m).At(age)
			assert.LessOrEqual(t, low.High, top.Low, "%s of %s and %s at %s", pair.m, pair.low.ID, pair.top.ID, age)
		}
	}
}
