package norms

import "telltrace/synth/ecg"

// Sources of ECG values.
const (
	rijBoys     = "Rijnbeek 2001, Eur Heart J 22:702, boys" + seenTwice
	rijGirls    = "Rijnbeek 2001, Eur Heart J 22:702, girls" + seenTwice
	davignon    = "Davignon 1980, Pediatr Cardiol 1:123" + memory
	hospital    = "teaching-hospital ECG table, Davignon family" + seen
	surawicz    = "Surawicz 2009, AHA/ACCF/HRS ECG standards part III" + seenTwice
	surawiczMen = "Surawicz 2009, men, upper limit 0.110 s" + seenTwice
	women       = "Rautaharju 2013, healthy women" + seen
	rautaharju  = "Rautaharju 2009, AHA/ACCF/HRS ECG standards part IV, men" + memory
	standard    = "standard adult range" + memory
	indian      = "Electrocardiographic Parameters in Indian Newborns, Indian Pediatr 2019, mean and 2 SD" + derived
	handbook    = "paediatric ECG handbook, upper limit read second-hand; lower limit and middle from common practice" + memory
	adultP      = "standard texts, upper limit; lower limit and middle from common practice" + memory
	halfway     = "halfway between the adult limits" + derived
	palsWide    = "AHA PALS 2020 tachycardia algorithm" + seen
	aclsWide    = "AHA ACLS" + memory
)

// PR is the PR interval in seconds.
func PR(age ecg.Age) Norm { return combine(age, prBoys, prGirls, prDavignon, prHospital) }

// QRS is the duration of a narrow QRS in seconds. Aim stays within what life-support
// teaching calls narrow (WideQRS), which tables of healthy adolescents exceed; so it steps up at 16 y.
func QRS(age ecg.Age) Norm {
	n := combine(age, qrsBoys, qrsGirls, qrsDavignon, qrsHospital)
	n.Aim.High = min(n.Aim.High, WideQRS(age).Low)
	n.Aim.Median = min(n.Aim.Median, n.Aim.High)
	return n
}

// QTcBazett is the QT interval corrected after Bazett, in seconds. The adult rows
// are rate-adjusted QT by other methods, which agree near 60/min.
func QTcBazett(age ecg.Age) Norm { return combine(age, qtcBoys, qtcGirls) }

// QRSAxis is the frontal QRS axis in degrees, positive downwards.
func QRSAxis(age ecg.Age) Norm {
	return combine(age, axisBoys, axisGirls, axisDavignon, axisHospital, axisSurawicz)
}

// PWave is the duration of the P wave in seconds.
func PWave(age ecg.Age) Norm { return combine(age, pDuration) }

// A Limit is a cut-off on which publications differ: at or below Low all of them
// say no, from High on all of them say yes.
type Limit struct {
	Low, High float64
	Source    string
}

// WideQRS is the limit in seconds above which a QRS is wide. Life-support teaching
// takes 0.09 for a child, Surawicz 2009 takes 0.09 below 4 y and 0.10 to 16 y; for
// adults 0.11 is the upper normal limit and 0.12 is wide. It steps at these ages.
func WideQRS(age ecg.Age) Limit {
	switch y := age.Years(); {
	case y < 4:
		return Limit{0.09, 0.09, palsWide + "; " + surawicz}
	case y < 16:
		return Limit{0.09, 0.10, palsWide + "; " + surawicz}
	default:
		return Limit{0.11, 0.12, aclsWide + "; " + surawicz}
	}
}
