package measure

import (
	"math"
)

var nan = math.NaN()

func isNaN(x float64) bool { return math.IsNaN(x) }

// The records of the MIT-BIH Arrhythmia Database (Moody and Mark, IEEE Eng Med Biol
// 2001;20(3):45) among the shared recordings.
func mitdbRecords() []string {
	return []string{"100", "103", "105", "106", "118", "119", "124", "200", "202", "203",
		"207", "209", "214", "217", "222", "230", "231", "232"}
}

// matchWindow is that of ANSI/AAMI EC57 (as restated in WFDB's bxb).
const matchWindow = 0.150

// compare pairs found beats with reference beats (s, in order) in the EC57 way:
// within the window, closest first, each used once.
func compare(found, want []float64) (tp, fn, fp int) {
	i, j := 0, 0
	for i < len(found) || j < len(want) {
		switch {
		case j == len(want) || i < len(found) && found[i] < want[j]-matchWindow:
			fp++
			i++
		case i == len(found) || want[j] < found[i]-matchWindow:
			fn++
			j++
		case j+1 < len(want) && math.Abs(want[j+1]-found[i]) < math.Abs(want[j]-found[i]) &&
			(i+1 == len(found) || math.Abs(found[i+1]-want[j+1]) > math.Abs(found[i]-want[j+1])):
			fn++ // the next reference is nearer, and nothing else is nearer to it
			j++
		default:
			tp++
			i++
			j++
		}
	}
	return tp, fn, fp
}
