package norms

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// ages runs from birth to 90 years: every day of the first two years, then every
// month.
func ages() []ecg.Age {
	var out []ecg.Age
	for d := range 731 {
		out = append(out, ecg.Days(d))
	}
	for m := 25; m <= 90*12; m++ {
		out = append(out, ecg.Months(m))
	}
	return out
}

// every is each norm with the range its values must be in at all.
var every = []struct {
	name      string
	at        func(ecg.Age) Norm
	least, to float64
}{
	{"heart rate", HeartRate, 40, 220},
	{"heart rate awake", HeartRateAwake, 50, 210},
	{"heart rate asleep", HeartRateAsleep, 35, 170},
	{"respiratory rate", RespiratoryRate, 9, 70},
	{"systolic", Systolic, 55, 145},
	{"PR", PR, 0.05, 0.22},
	{"QRS", QRS, 0.015, 0.12},
	{"QTc", QTcBazett, 0.33, 0.47},
	{"axis", QRSAxis, -31, 200},
	{"P wave", PWave, 0.015, 0.125},
}

func TestNormsAreOrderedAtEveryAge(t *testing.T) {
	for _, n := range every {
		for _, age := range ages() {
			norm := n.at(age)
			where := fmt.Sprintf("%s at %s", n.name, age)
			for _, s := range []Spread{norm.Aim, norm.Accept} {
				require.Less(t, s.Low, s.High, where)
				require.LessOrEqual(t, s.Low, s.Median, where)
				require.LessOrEqual(t, s.Median, s.High, where)
				require.NotEmpty(t, s.Source, where)
				require.GreaterOrEqual(t, s.Low, n.least, where)
				require.LessOrEqual(t, s.High, n.to, where)
			}
			require.GreaterOrEqual(t, norm.Aim.Low, norm.Accept.Low, where)
			require.LessOrEqual(t, norm.Aim.High, norm.Accept.High, where)
		}
	}
}

// No limit may jump by more than a fifth of the accepted width from one day to the
// next in the first month, a tenth afterwards, except where a convention steps at
// 16 y (the adult heart rate, the limit of a wide QRS).
func TestNormsAreContinuous(t *testing.T) {
	for _, n := range every {
		for d := 1; d < 40*365; d++ {
			if (n.name == "heart rate" || n.name == "QRS") && math.Abs(float64(d)-16*365.25) <= 1 {
				continue
			}
			a, b := n.at(ecg.Days(d-1)), n.at(ecg.Days(d))
			width := a.Accept.High - a.Accept.Low
			share := 0.1
			if d <= 28 {
				share = 0.2
			}
			for _, pair := range [][2]float64{
				{a.Aim.Low, b.Aim.Low}, {a.Aim.High, b.Aim.High},
				{a.Accept.Low, b.Accept.Low}, {a.Accept.High, b.Accept.High}, {a.Aim.Median, b.Aim.Median},
			} {
				require.InDelta(t, pair[0], pair[1], share*width, "%s from day %d to %d", n.name, d-1, d)
			}
		}
	}
}

// A row must come back unchanged at the age where it stands, so an interpolation
// that drifts or a row out of order shows.
func TestTablesGiveTheirRowsBack(t *testing.T) {
	for name, tab := range map[string]table{
		"PR boys": prBoys, "PR girls": prGirls, "PR Davignon": prDavignon, "PR hospital": prHospital,
		"QRS boys": qrsBoys, "QRS girls": qrsGirls, "QRS Davignon": qrsDavignon, "QRS hospital": qrsHospital,
		"QTc boys": qtcBoys, "QTc girls": qtcGirls, "P": pDuration,
		"axis boys": axisBoys, "axis girls": axisGirls, "axis Davignon": axisDavignon,
		"axis hospital": axisHospital, "axis Surawicz": axisSurawicz,
		"awake": palsAwake, "awake old": palsOldAwake, "awake Nelson": nelsonAwake,
		"asleep": palsAsleep, "asleep old": palsOldAsleep,
		"breaths": palsBreaths, "breaths old": palsOldBreaths, "systolic": palsSystolic,
	} {
		for i, r := range tab {
			if i > 0 {
				require.Less(t, tab[i-1].stands(), r.stands(), "%s row %d is out of order", name, i)
			}
			days := math.Sqrt(r.stands()) - 1
			got, next := tab.at(ecg.Days(int(math.Round(days))))
			// whole days are at most half a day off, which matters in the first week only
			width := r.high - r.low
			assert.InDelta(t, r.low, got.Low, 0.25*width, "%s row %d", name, i)
			assert.InDelta(t, r.high, got.High, 0.25*width, "%s row %d", name, i)
			assert.Contains(t, []string{got.Source, next}, r.source, "%s row %d", name, i)
		}
	}
}

func TestHeartRateCentiles(t *testing.T) {
	// Fleming 2011, Lancet 377:1011, lookup tables of the authors' data release.
	for _, tt := range []struct {
		age ecg.Age
		p   [7]float64
	}{
		{ecg.Days(0), [7]float64{90.1, 107.0, 116.4, 127.1, 137.9, 147.5, 164.2}},
		{ecg.Months(1), [7]float64{108.0, 124.9, 134.0, 144.5, 155.3, 164.7, 181.7}},
		{ecg.Years(2), [7]float64{79.6, 95.3, 103.4, 113.5, 122.7, 131.8, 146.1}},
		{ecg.Years(7), [7]float64{59.1, 74.5, 82.3, 91.3, 100.9, 110.6, 123.4}},
		{ecg.Years(18), [7]float64{41.3, 56.1, 63.2, 71.5, 80.7, 89.7, 101.8}},
	} {
		got := HeartRateCentiles(tt.age)
		assert.InDeltaSlice(t, tt.p[:], got.P[:], 0.001, tt.age.String())
	}
	// Abstract of the same paper: the median peaks at 145/min near one month and is
	// 113/min at two years.
	peak := 0.0
	for _, age := range ages() {
		c := HeartRateCentiles(age).P
		peak = max(peak, c[3])
		for i := 1; i < len(c); i++ {
			require.Less(t, c[i-1], c[i], "centile %d at %s", i, age)
		}
	}
	assert.InDelta(t, 145, peak, 0.6)
	assert.InDelta(t, 113, HeartRateCentiles(ecg.Years(2)).P[3], 0.6)
}

func TestRespiratoryRateCentiles(t *testing.T) {
	// Fleming 2011: median 44 breaths/min at birth, 26 at 2 y in the abstract of the
	// paper (from memory); the lookup tables give 29.8 at 2 y and 26.1 at 3 y.
	assert.InDelta(t, 44.1, RespiratoryRateCentiles(ecg.Days(0)).P[3], 0.001)
	assert.InDelta(t, 26.1, RespiratoryRateCentiles(ecg.Years(3)).P[3], 0.001)
	assert.InDelta(t, 15.4, RespiratoryRateCentiles(ecg.Years(30)).P[3], 0.001)
	adult := RespiratoryRate(ecg.Years(40)) // 12-20, general usage, from memory
	assert.Equal(t, [2]float64{12, 20}, [2]float64{adult.Accept.Low, adult.Accept.High})
}

func TestHypotension(t *testing.T) {
	// AHA PALS 2006 and 2015 (read second-hand): 60, 70, 70 + 2 x age, 90 mmHg.
	for _, tt := range []struct {
		age  ecg.Age
		want float64
	}{
		{ecg.Days(10), 60}, {ecg.Days(27), 60}, {ecg.Days(28), 70}, {ecg.Months(6), 70},
		{ecg.Years(1), 72}, {ecg.Years(4), 78}, {ecg.Years(8), 86}, {ecg.Months(90), 85},
		{ecg.Years(10), 90}, {ecg.Years(14), 90}, {ecg.Years(40), 90},
	} {
		assert.InDelta(t, tt.want, Hypotension(tt.age), 1e-9, tt.age.String())
	}
	for _, age := range ages() {
		if age.Days() >= 1 {
			require.Less(t, Hypotension(age), Systolic(age).Accept.Low+1, "normal pressure at %s is not low", age)
		}
	}
}

func TestWideQRS(t *testing.T) {
	// AHA PALS 2020: wide above 0.09 s in a child. Surawicz 2009: bundle-branch block
	// above 0.09 s under 4 y, 0.10 s to 16 y, from 0.12 s in adults (second-hand).
	for _, tt := range []struct {
		age       ecg.Age
		low, high float64
	}{
		{ecg.Days(10), 0.09, 0.09}, {ecg.Years(3), 0.09, 0.09}, {ecg.Years(4), 0.09, 0.10},
		{ecg.Years(15), 0.09, 0.10}, {ecg.Years(16), 0.11, 0.12},
	} {
		got := WideQRS(tt.age)
		assert.Equal(t, [2]float64{tt.low, tt.high}, [2]float64{got.Low, got.High}, tt.age.String())
	}
	for _, age := range ages() {
		require.LessOrEqual(t, QRS(age).Aim.High, WideQRS(age).Low, "a QRS meant to be narrow at %s is not wide", age)
	}
}

// Values against the publications themselves, away from where rows stand.
func TestIntervalsAgainstPublishedRanges(t *testing.T) {
	for _, tt := range []struct {
		what      string
		norm      Norm
		low, high float64
		tolerance float64
		source    string
	}{
		{"PR adult", PR(ecg.Years(40)), 0.118, 0.212, 1e-9, "Rautaharju 2013 T2, women 118-212 ms"},
		{"QRS adult", QRS(ecg.Years(40)), 0.050, 0.110, 1e-9, "hospital table 0.05, Surawicz 2009 0.11"},
		{"QTc adult", QTcBazett(ecg.Years(40)), 0.388, 0.450, 1e-9, "Rautaharju 2013 T2 388 ms; 2009 men 450 ms, from memory"},
		{"axis adult", QRSAxis(ecg.Years(40)), -30, 110, 1e-9, "Surawicz 2009 -30; hospital table 110"},
		{"PR 18 d", PR(ecg.Days(18)), 0.07, 0.15, 0.003, "Davignon 7-30 d 0.07-0.14, from memory; hospital 1-3 wk to 0.15"},
		{"QTc 18 d", QTcBazett(ecg.Days(18)), 0.378, 0.462, 0.002, "Rijnbeek 2001, 0-1 month, second-hand"},
		{"axis day 0", QRSAxis(ecg.Days(0)), 30, 192, 0.5, "Surawicz newborn 30; Davignon first day 192, from memory"},
		{"awake 14 y", HeartRateAwake(ecg.Years(14)), 55, 100, 1, "Nelson 55; PALS 2015 100; second-hand"},
		{"systolic 14 y", Systolic(ecg.Years(14)), 110, 131, 2, "PALS 2015, 12-15 y, second-hand"},
	} {
		assert.InDelta(t, tt.low, tt.norm.Accept.Low, tt.tolerance, "%s low: %s", tt.what, tt.source)
		assert.InDelta(t, tt.high, tt.norm.Accept.High, tt.tolerance, "%s high: %s", tt.what, tt.source)
	}
	// Term newborns, day 0-7, mean (abstract of a comparison with late-preterm ECGs):
	// PR 103 ms, QRS 49 ms, axis 134 degrees, heart rate 122/min. None of the tables.
	day4 := ecg.Days(4)
	assert.InDelta(t, 0.103, PR(day4).Aim.Median, 0.010)
	assert.InDelta(t, 0.049, QRS(day4).Aim.Median, 0.007)
	assert.InDelta(t, 134, QRSAxis(day4).Aim.Median, 15)
	assert.InDelta(t, 122, HeartRate(day4).Aim.Median, 20)
	// Rijnbeek 2001, 8-12 years, is not in the tables; its neighbours must bracket
	// what is interpolated: PR medians 124-129 ms below it, 135-139 ms above.
	at10 := PR(ecg.Years(10)).Aim.Median
	assert.True(t, at10 > 0.120 && at10 < 0.140, "PR at 10 y is %.3f s", at10)
}
