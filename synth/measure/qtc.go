package measure

import "math"

// The four usual corrections of the QT interval for rate. Each takes QT and the RR
// interval before it in seconds and returns seconds; NaN when either is not
// positive. All four leave QT as it is at RR = 1 s.

// Bazett is QT/√RR (Bazett, Heart 1920;7:353).
func Bazett(qt, rr float64) float64 { return corrected(qt, rr, qt/math.Sqrt(rr)) }

// Fridericia is QT/∛RR (Fridericia, Acta Med Scand 1920;53:469).
func Fridericia(qt, rr float64) float64 { return corrected(qt, rr, qt/math.Cbrt(rr)) }

// Framingham is QT + 0.154 (1 - RR) (Sagie et al., Am J Cardiol 1992;70:797).
func Framingham(qt, rr float64) float64 { return corrected(qt, rr, qt+0.154*(1-rr)) }

// Hodges is QT + 1.75 ms for each beat per minute above 60 (Hodges et al., J Am
// Coll Cardiol 1983;1:694).
func Hodges(qt, rr float64) float64 { return corrected(qt, rr, qt+0.00175*(60/rr-60)) }

func corrected(qt, rr, qtc float64) float64 {
	if !(qt > 0) || !(rr > 0) {
		return math.NaN()
	}
	return qtc
}
