package rhythm

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

// fromBlockToPacing are the rhythms of block, of the ventricles, of arrest and of
// pacing.
func fromBlockToPacing() []Rhythm {
	return []Rhythm{
		firstDegreeAVBlock, secondDegreeAVBlockType1, secondDegreeAVBlockType2, twoToOneAVBlock, highGradeAVBlock,
		rightBundleBranchBlock, leftBundleBranchBlock, preExcitation,
		ventricularTrigeminy, ventricularCouplets, multiformVentricularBeats,
		acceleratedIdioventricularRhythm, idioventricularRhythm, polymorphicVentricularTachycardia, torsadesDePointes,
		pWaveAsystole, agonalRhythm, pulselessElectricalActivity,
		atrialPacingRhythm, ventricularPacingRhythm, dualChamberPacing,
		failureToCaptureRhythm, failureToSenseRhythm, failureToPaceRhythm,
	}
}

func TestBlockToPacingLessonsAreSound(t *testing.T) {
	order := []string{"Rate", "Rhythm", "P wave", "PR", "QRS", "T wave", "Special"}
	for _, r := range fromBlockToPacing() {
		assert.NoError(t, r.Lesson.Validate(append(middles(), edges()...)))
		assert.NotEmpty(t, r.Criteria, r.ID)
		assert.Contains(t, r.States, ecg.NoSignsOfLife, "%s: every rhythm may be without a pulse", r.ID)
		var got []string
		for _, line := range r.LookFor {
			got = append(got, regexp.MustCompile(`^[^:]*`).FindString(line))
		}
		assert.Equal(t, order, got, r.ID)
	}
}

func TestBlockToPacingLookAlikesAreMutual(t *testing.T) {
	byID := map[string]Rhythm{}
	for _, r := range fromBlockToPacing() {
		require.NotContains(t, byID, r.ID)
		byID[r.ID] = r
	}
	for _, r := range byID {
		for i, a := range r.LookAlikes {
			assert.NotEqual(t, r.ID, a.ID)
			assert.False(t, slices.ContainsFunc(r.LookAlikes[:i], func(b lesson.LookAlike) bool { return a.ID == b.ID }), "%s names %s twice", r.ID, a.ID)
			if other, here := byID[a.ID]; here {
				_, back := other.LookAlike(r.ID)
				assert.True(t, back, "%s: %s does not name it back", r.ID, a.ID)
			}
		}
	}
}

// Every rhythm can be built at every age it is drawn at, in every state it is shown
// in, and without signs of life never ejects.
func TestBlockToPacingHeartsCanBe(t *testing.T) {
	for _, r := range fromBlockToPacing() {
		for _, age := range append(middles(), edges()...) {
			for _, state := range r.States {
				for seed := range uint64(20) {
					_, s, err := r.Build(age, state, rand.New(rand.NewPCG(seed, 1)))
					require.NoError(t, err, "%s at %s, %s, seed %d", r.ID, age, state, seed)
					assert.Equal(t, state == ecg.NoSignsOfLife || r.ID == "pulseless-electrical-activity", s.Heart.Pump.Strength == 0, "%s, %s", r.ID, state)
				}
			}
		}
	}
}

// First actions by rhythm, state and age: AHA 2020 paediatric and adult guidelines
// and common practice, from memory.
func TestBlockToPacingCare(t *testing.T) {
	infant, child, adult := ecg.Months(6), ecg.Years(8), ecg.Years(40)
	for _, tt := range []struct {
		r     Rhythm
		age   ecg.Age
		state ecg.State
		first lesson.Action
		how   lesson.Urgency
	}{
		{firstDegreeAVBlock, child, ecg.Stable, lesson.AssessTell, lesson.Watch},
		{secondDegreeAVBlockType1, child, ecg.Stable, lesson.AssessTell, lesson.Watch}, // Southall 1981: in healthy children
		{secondDegreeAVBlockType2, adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{twoToOneAVBlock, infant, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{highGradeAVBlock, infant, ecg.PoorPerfusion, lesson.Support, lesson.Urgent},
		{preExcitation, child, ecg.Stable, lesson.AssessTell, lesson.Watch},
		{ventricularTrigeminy, child, ecg.Stable, lesson.AssessTell, lesson.Watch},
		{acceleratedIdioventricularRhythm, infant, ecg.Stable, lesson.AssessTell, lesson.Watch}, // Freire and Dubrow 2008
		{idioventricularRhythm, adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{polymorphicVentricularTachycardia, child, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow},
		{torsadesDePointes, adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{pWaveAsystole, child, ecg.NotSure, lesson.Compress, lesson.ArrestNow},
		{agonalRhythm, adult, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow},
		{pulselessElectricalActivity, child, ecg.NotSure, lesson.Compress, lesson.ArrestNow},
		{ventricularPacingRhythm, child, ecg.Stable, lesson.Chart, lesson.Routine},
		{failureToCaptureRhythm, child, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{failureToSenseRhythm, child, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{failureToPaceRhythm, infant, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow},
	} {
		c := tt.r.Care(tt.age, tt.state)
		assert.Equal(t, tt.first, c.First, "%s, %s, %s", tt.r.ID, tt.age, tt.state)
		assert.Equal(t, tt.how, c.Urgency, "%s, %s, %s", tt.r.ID, tt.age, tt.state)
	}
}

// A slow rhythm with poor perfusion: compressions in a child follow only after
// oxygen and ventilation (AHA 2020, from memory), or are as right at once when the
// rhythm is an escape that is always below the limit.
func TestSlowEscapesAndPoorPerfusion(t *testing.T) {
	for _, r := range []Rhythm{secondDegreeAVBlockType1, secondDegreeAVBlockType2, twoToOneAVBlock, highGradeAVBlock, idioventricularRhythm} {
		for _, age := range middles() {
			c := r.Care(age, ecg.PoorPerfusion)
			assert.Equal(t, lesson.Support, c.First, "%s at %s", r.ID, age)
			compress := isChild(age) && r.ID == idioventricularRhythm.ID
			assert.Equal(t, compress, slices.Contains(c.Also, lesson.Compress), "%s at %s", r.ID, age)
		}
	}
}

// The rates drawn keep a tenth away from the published limits that part an agonal
// rhythm (below 20, standard texts), a ventricular escape (20-40 in the adult) and
// the escape of the junction (from 50 in the infant); all from memory but the
// adult's 20-40, an encyclopaedia entry that was read.
func TestEscapeRatesKeepTheGuard(t *testing.T) {
	for _, age := range append(middles(), edges()...) {
		low, high := agonalRate(Patient{Age: age})
		assert.True(t, 0 < low && low < high && high <= 18, "agonal at %s: %g to %g", age, low, high)
		low, high = idioventricularRate(Patient{Age: age})
		top := 45.0
		if y := age.Years(); y >= 1 {
			top = 40.5
			if y >= 16 {
				top = 36
			}
		}
		assert.True(t, 22 <= low && low < high && high <= top, "ventricular escape at %s: %g to %g", age, low, high)
	}
}

// Criteria that must exclude each other at every age do.
func TestBlockToPacingCriteriaExcludeEachOther(t *testing.T) {
	for _, age := range append(middles(), edges()...) {
		for _, pair := range []struct {
			m        lesson.Measure
			low, top Rhythm
		}{
			{lesson.PRTime, preExcitation, firstDegreeAVBlock},
			{lesson.PRTime, sinusRhythm, firstDegreeAVBlock},
			{lesson.PRSpread, secondDegreeAVBlockType2, secondDegreeAVBlockType1},
			{lesson.PPerQRS, secondDegreeAVBlockType2, twoToOneAVBlock},
			{lesson.LateV1, leftBundleBranchBlock, rightBundleBranchBlock},
			{lesson.LongestRun, ventricularTrigeminy, ventricularCouplets},
			{lesson.LongestRun, prematureVentricularBeats, ventricularCouplets},
			{lesson.LongestRun, ventricularCouplets, ventricularRun},
			{lesson.Rate, agonalRhythm, idioventricularRhythm},
			{lesson.Rate, asystole, agonalRhythm},
			{lesson.LoneSpikes, ventricularPacingRhythm, failureToCaptureRhythm},
			{lesson.SpikeLate, ventricularPacingRhythm, failureToPaceRhythm},
			{lesson.Ectopics, ventricularTrigeminy, ventricularBigeminy},
			{lesson.Spikes, ventricularPacingRhythm, dualChamberPacing},
			{lesson.SpikeWait, failureToSenseRhythm, ventricularPacingRhythm},
			{lesson.QRSTime, atrialPacingRhythm, dualChamberPacing},
		} {
			below, above := rangeOf(t, pair.low, pair.m, age), rangeOf(t, pair.top, pair.m, age)
			assert.LessOrEqual(t, below.High, above.Low, "%s of %s and %s at %s", pair.m, pair.low.ID, pair.top.ID, age)
		}
	}
	assert.Less(t, norms.PR(ecg.Days(10)).Accept.High, norms.PR(ecg.Years(40)).Accept.High, "the limit of first-degree block grows with age")
}

func rangeOf(t *testing.T, r Rhythm, m lesson.Measure, age ecg.Age) lesson.Range {
	for _, c := range r.Criteria {
		if c.Measure == m {
			return c.At(age)
		}
	}
	require.Failf(t, "no such criterion", "%s has no criterion %s", r.ID, m)
	return lesson.Range{}
}
