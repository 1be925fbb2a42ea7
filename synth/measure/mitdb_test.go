package measure

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
)

var nan = math.NaN()

var mitdb = []string{"100", "103", "105", "106", "118", "119", "124", "200", "202", "203",
	"207", "209", "214", "217", "222", "230", "231", "232"}

// compare pairs found beats with reference beats within 150 ms (ANSI/AAMI EC57 as
// restated in WFDB bxb), each used once.
func compare(found, want []float64) (tp, fn, fp int) {
	const window = 0.150
	i, j := 0, 0
	for i < len(found) || j < len(want) {
		switch {
		case j == len(want) || (i < len(found) && found[i] < want[j]-window):
			fp++
			i++
		case i == len(found) || want[j] < found[i]-window:
			fn++
			j++
		default:
			// the next reference may be nearer to this beat
			if j+1 < len(want) && math.Abs(want[j+1]-found[i]) < math.Abs(want[j]-found[i]) &&
				!(i+1 < len(found) && math.Abs(found[i+1]-want[j+1]) <= math.Abs(want[j+1]-found[i])) {
				fn++
				j++
				continue
			}
			tp++
			i++
			j++
		}
	}
	return
}

func TestBeatsOnMITBIH(t *testing.T) {
	dir := recordings(t)
	var TP, FN, FP int
	for _, name := range mitdb {
		s := readRecord(t, filepath.Join(dir, "mitdb", name))
		var want []float64
		type span struct{ a, b float64 }
		var vf []span
		for _, m := range readMarks(t, filepath.Join(dir, "mitdb", name+".atr")) {
			at := float64(m.at) / s.Rate
			switch {
			case m.code == codeVFOn:
				vf = append(vf, span{at, at})
			case m.code == codeVFOff:
				vf[len(vf)-1].b = at
			case isBeat(m.code):
				want = append(want, at)
			}
		}
		var found []float64
		for _, b := range detect(clean(s.MV[0]).mv, s.Rate) {
			at := float64(b.at) / s.Rate
			in := false
			for _, v := range vf {
				in = in || at > v.a-0.15 && at < v.b+0.15
			}
			if !in {
				found = append(found, at)
			}
		}
		tp, fn, fp := compare(found, want)
		t.Logf("%s Se %.4f +P %.4f  (fn %d fp %d)", name, float64(tp)/float64(tp+fn), float64(tp)/float64(tp+fp), fn, fp)
		TP, FN, FP = TP+tp, FN+fn, FP+fp
	}
	se, pp := float64(TP)/float64(TP+FN), float64(TP)/float64(TP+FP)
	t.Logf("gross Se %.4f +P %.4f fn %d fp %d", se, pp, FN, FP)
	assert.GreaterOrEqual(t, se, 0.99)
}
