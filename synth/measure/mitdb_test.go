package measure

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// Sensitivity and positive predictivity on the first signal, all beats, ventricular
// flutter left out. On these excerpts the reference detectors of WFDB have, gross,
// 0.9808/0.9987 (xqrs 4.3.1) and 0.9955/0.9950 (gqrs 4.3.1), measured the same way.
func TestBeatsOnMITBIH(t *testing.T) {
	dir := filepath.Join(recordings(t), "mitdb")
	var TP, FN, FP int
	for _, name := range mitdbRecords() {
		s := readRecord(t, filepath.Join(dir, name))
		want, flutter := beatsOf(t, filepath.Join(dir, name+".atr"), s.Rate)
		r, err := Read(s, s.Leads[0])
		require.NoError(t, err, name)
		var found []float64
		for _, at := range peaks(r.Marks) {
			if !within(at, flutter) {
				found = append(found, at)
			}
		}
		tp, fn, fp := compare(found, want)
		se, pp := float64(tp)/float64(tp+fn), float64(tp)/float64(tp+fp)
		t.Logf("%s: %4d beats, Se %.4f +P %.4f", name, len(want), se, pp)
		assert.GreaterOrEqual(t, se, 0.975, "sensitivity on %s", name)
		assert.GreaterOrEqual(t, pp, 0.96, "positive predictivity on %s", name)
		TP, FN, FP = TP+tp, FN+fn, FP+fp
	}
	se, pp := float64(TP)/float64(TP+FN), float64(TP)/float64(TP+FP)
	t.Logf("gross: %d beats, Se %.4f +P %.4f", TP+FN, se, pp)
	assert.Greater(t, se, 0.9955, "gross sensitivity, above gqrs")
	assert.Greater(t, pp, 0.9955, "gross positive predictivity, above gqrs")
}

// beatsOf reads the times of beats (s), and from-to of ventricular flutter.
func beatsOf(t testing.TB, path string, rate float64) (beats []float64, flutter [][2]float64) {
	for _, m := range readMarks(t, path) {
		at := float64(m.at) / rate
		switch {
		case m.code == codeVFOn:
			flutter = append(flutter, [2]float64{at - matchWindow, at})
		case m.code == codeVFOff:
			flutter[len(flutter)-1][1] = at + matchWindow
		case isBeat(m.code):
			beats = append(beats, at)
		}
	}
	return beats, flutter
}

func within(at float64, spans [][2]float64) bool {
	for _, s := range spans {
		if at > s[0] && at < s[1] {
			return true
		}
	}
	return false
}
