package measure

import (
	"fmt"
	"path/filepath"
	"testing"
)

func TestFeatureDump(t *testing.T) {
	dir := recordings(t)
	win := func(name string, mv []float64, rate float64, a, b, secs float64, label string) {
		for at := a; at+secs <= b; at += secs {
			i, j := int(at*rate), int((at+secs)*rate)
			if j > len(mv) {
				return
			}
			tr := examine(clean(mv[i:j]), rate)
			f := tr.features
			fmt.Printf("%s %s %.0f %s p2p %.3f dom %.1f spread %.3f leak %.3f alike %.3f rrcv %.2f n %d\n", label, name, at, tr.kind, f.peakToPeak, f.dominant, f.spread, f.leakage, f.alike, f.rrCV, len(tr.beats))
		}
	}
	for _, n := range []string{"cu01", "cu06", "cu10", "cu12", "cu22", "cu24"} {
		s := readRecord(t, filepath.Join(dir, "cudb", n))
		win(n, s.MV[0], s.Rate, 0, 58, 8, "ORG")
		win(n, s.MV[0], s.Rate, 62, 120, 8, "VF")
	}
	for _, n := range mitdb {
		s := readRecord(t, filepath.Join(dir, "mitdb", n))
		win(n, s.MV[0], s.Rate, 0, 180, 8, "ORG")
	}
	fs, _ := filepath.Glob(filepath.Join(dir, "icu-alarms", "*.hea"))
	for _, f := range fs {
		s := readRecord(t, f[:len(f)-4])
		win(filepath.Base(f), s.MV[0], s.Rate, 0, 24, 8, "ICU")
		if n := filepath.Base(f)[:4]; n == "f450" || n == "f544" {
			win(filepath.Base(f), s.MV[0], s.Rate, 34, 40, 5, "VF")
		}
	}
}
