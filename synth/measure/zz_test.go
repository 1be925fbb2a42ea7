package measure

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

func TestZZ(t *testing.T) {
	for _, p := range []string{"ludb", "af2017", "mitdb"} {
		files, _ := filepath.Glob(filepath.Join(recordings(t), p, "*.hea"))
		if os.Getenv("ZZ") != "" && os.Getenv("ZZ") != p {
			continue
		}
		for _, f := range files {
			if p == "af2017" {
				continue
			}
			s := readRecord(t, f[:len(f)-4])
			lead := s.Leads[0]
			if p == "ludb" {
				lead = "ii"
			}
			head := ""
			if p == "ludb" {
				head = readText(t, f)
				if i := indexOf(head, "Rhythm"); i >= 0 {
					head = head[i:min(len(head), i+60)]
				}
			}
			for k := 0.0; k+10 <= s.Seconds(); k += 10 {
				r, _ := Read(s.Cut(int(k*s.Rate), int((k+10)*s.Rate)), lead)
				fmt.Printf("%-10s %3.0f %-12s %-38s %v rate %.0f cv %.2f p/q %.2f rel %s AR %.0f PR %.2f spr %.2f shapes %d blk %d/%d/%d QRS %.3f T %.2f ST %.2f ptp %.2f delta %.3f twist %.2f gr %v | %.50q\n", filepath.Base(f), k, r.Kind, r.Name, r.Also, r.Rate, r.RRCV, r.PPerQRS, r.Relation, r.AtrialRate, r.PR, r.PRSpread, r.PShapes, r.Blocked, r.MostBlocked, r.EarlyP, r.QRS, r.Levels.T, r.Levels.ST, r.Levels.PeakToPeak, r.Delta, r.Twist, r.Groups, head)
			}
		}
	}
}

func indexOf(s, sub string) int {
	for i := 0; i+len(sub) <= len(s); i++ {
		if s[i:i+len(sub)] == sub {
			return i
		}
	}
	return -1
}

func TestYY(t *testing.T) {
	show := func(name string, s []float64, rate float64) {
		r, _ := Read(row(s, rate), "")
		fmt.Printf("%-14s irr %-5v steady %.2f cv %.2f fl %s %.0f p/q %.2f %s\n", name, irregularly(r.RR), steady(r.RR), r.RRCV, r.Relation, r.AtrialRate, r.PPerQRS, r.Name)
	}
	for _, n := range []string{"202", "203", "217", "222", "100", "209", "231", "232", "124", "200", "214", "119"} {
		s := readRecord(t, filepath.Join(recordings(t), "mitdb", n))
		for k := 0.0; k+10 <= s.Seconds(); k += 10 {
			show(fmt.Sprint(n, "@", k), s.MV[0][int(k*s.Rate):int((k+10)*s.Rate)], s.Rate)
		}
	}
	for _, n := range []string{"A00001", "A00004", "A00008"} {
		b, _ := os.ReadFile(filepath.Join(recordings(t), "af2017", n+".mat"))
		var x []float64
		for i := 24; i+1 < len(b); i += 2 {
			x = append(x, float64(int16(uint16(b[i])|uint16(b[i+1])<<8))/1000)
		}
		for k := 0; k+3000 <= len(x); k += 3000 {
			show(n, x[k:k+3000], 300)
		}
	}
}
