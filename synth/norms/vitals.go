package norms

import "telltrace/synth/ecg"

// Sources of vital signs.
const (
	pals15     = "AHA PALS provider manual 2015" + seenTwice
	pals06     = "AHA PALS provider manual 2006" + seenTwice
	nelson     = "Nelson Textbook of Pediatrics, 20th ed." + seenTwice
	adultUsage = "general usage for adults" + memory
)

// HeartRate is the normal heart rate at rest in beats per minute. Accept is the
// 1st to 99th centile (Fleming 2011); Aim is where those agree with the awake
// ranges of PALS 2015. From 16 y on both are the adult convention, 60-100, which is
// a limit and no centile: the range steps there.
func HeartRate(age ecg.Age) Norm {
	if age.Days() >= adultFrom {
		adult := Spread{60, 75, 100, adultUsage}
		return Norm{adult, adult}
	}
	accept := HeartRateCentiles(age).spread()
	awake, next := palsAwake.at(age)
	aim := Spread{Low: max(accept.Low, awake.Low), High: min(accept.High, awake.High),
		Source: "common to " + accept.Source + "; " + awake.Source}
	if next != "" {
		aim.Source += "; " + next
	}
	aim.Median = min(max(accept.Median, aim.Low), aim.High)
	return Norm{aim, accept}
}

// HeartRateAwake is the range of heart rate of an awake child or adult, beats per
// minute: PALS 2015, PALS 2006 and Nelson.
func HeartRateAwake(age ecg.Age) Norm { return combine(age, palsAwake, palsOldAwake, nelsonAwake) }

// HeartRateAsleep is the range of heart rate in sleep, beats per minute: PALS 2015
// (Nelson prints the same) and PALS 2006.
func HeartRateAsleep(age ecg.Age) Norm { return combine(age, palsAsleep, palsOldAsleep) }

// RespiratoryRate is the normal number of breaths per minute: Fleming 2011, 1st to
// 99th centile, with PALS 2015 and 2006.
func RespiratoryRate(age ecg.Age) Norm { return combine(age, breaths, palsBreaths, palsOldBreaths) }

// breaths are the centiles as a table.
var breaths = func() table {
	var t table
	for _, r := range flemingBreaths {
		if r.at < adultFrom {
			t = append(t, row{r.at, r.at, r.p[0], r.p[3], r.p[6], fleming})
		}
	}
	return append(t, row{adultFrom, adultFrom, 12, 16, 20, adultUsage})
}()

// Systolic is the normal systolic pressure in mmHg, PALS 2015. Its limits are not
// stated to be percentiles.
func Systolic(age ecg.Age) Norm { return combine(age, palsSystolic) }

// Hypotension is the systolic pressure in mmHg below which pressure is low: 60 in
// the first 28 days, 70 to one year, 70 + 2 x age in years to ten, 90 from then on
// (AHA PALS 2006 and 2015, read second-hand). It steps at 28 days and at one year.
func Hypotension(age ecg.Age) float64 {
	switch y := age.Years(); {
	case age.Days() < 28:
		return 60
	case y < 1:
		return 70
	case y < 10:
		return 70 + 2*y
	default:
		return 90
	}
}

// The rows of clinical tables without a middle.
var (
	palsAwake = table{ // beats/min
		{0, 28, 100, none, 205, pals15},
		{28, 1 * year, 100, none, 190, pals15},
		{1 * year, 3 * year, 98, none, 140, pals15},
		{3 * year, 6 * year, 80, none, 120, pals15},
		{6 * year, 12 * year, 75, none, 118, pals15},
		{12 * year, 16 * year, 60, none, 100, pals15},
		{adultFrom, adultFrom, 60, none, 100, adultUsage},
	}
	palsAsleep = table{
		{0, 28, 90, none, 160, pals15},
		{28, 1 * year, 90, none, 160, pals15},
		{1 * year, 3 * year, 80, none, 120, pals15},
		{3 * year, 6 * year, 65, none, 100, pals15},
		{6 * year, 12 * year, 58, none, 90, pals15},
		{12 * year, 16 * year, 50, none, 90, pals15},
		{adultFrom, adultFrom, 40, none, 60, adultUsage}, // common in sleep
	}
	palsOldAwake = table{ // with the means it gives
		{0, 3 * month, 85, 140, 205, pals06},
		{3 * month, 2 * year, 100, 130, 190, pals06},
		{2 * year, 10 * year, 60, 80, 140, pals06},
		{10 * year, 16 * year, 60, 80, 100, pals06},
		{adultFrom, adultFrom, 60, 80, 100, pals06},
	}
	palsOldAsleep = table{
		{0, 3 * month, 80, none, 160, pals06},
		{3 * month, 2 * year, 75, none, 160, pals06},
		{2 * year, 10 * year, 60, none, 90, pals06},
		{10 * year, 16 * year, 50, none, 90, pals06},
		{adultFrom, adultFrom, 50, none, 90, pals06},
	}
	nelsonAwake = table{
		{0, 28, 100, none, 165, nelson},
		{28, 1 * year, 100, none, 150, nelson},
		{1 * year, 3 * year, 70, none, 110, nelson},
		{3 * year, 6 * year, 65, none, 110, nelson},
		{6 * year, 12 * year, 60, none, 95, nelson},
		{12 * year, 16 * year, 55, none, 85, nelson},
		{adultFrom, adultFrom, 60, none, 100, adultUsage},
	}
	palsBreaths = table{ // breaths/min
		{0, 1 * year, 30, none, 53, pals15},
		{1 * year, 3 * year, 22, none, 37, pals15},
		{3 * year, 6 * year, 20, none, 28, pals15},
		{6 * year, 12 * year, 18, none, 25, pals15},
		{12 * year, 16 * year, 12, none, 20, pals15},
		{adultFrom, adultFrom, 12, none, 20, adultUsage},
	}
	palsOldBreaths = table{
		{0, 1 * year, 30, none, 60, pals06},
		{1 * year, 3 * year, 24, none, 40, pals06},
		{3 * year, 6 * year, 22, none, 34, pals06},
		{6 * year, 12 * year, 18, none, 30, pals06},
		{12 * year, 16 * year, 12, none, 16, pals06},
		{adultFrom, adultFrom, 12, none, 20, adultUsage},
	}
	palsSystolic = table{ // mmHg
		{0.5, 0.5, 60, none, 76, pals15}, // 12 h, 3 kg
		{4, 4, 67, none, 84, pals15},     // 96 h
		{month, 1 * year, 72, none, 104, pals15},
		{1 * year, 3 * year, 86, none, 106, pals15},
		{3 * year, 6 * year, 89, none, 112, pals15},
		{6 * year, 10 * year, 97, none, 115, pals15},
		{10 * year, 12 * year, 102, none, 120, pals15},
		{12 * year, 16 * year, 110, none, 131, pals15},
		{adultFrom, adultFrom, 90, none, 139, adultUsage},
	}
)
