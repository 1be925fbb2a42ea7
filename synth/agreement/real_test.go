package agreement_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"telltrace/synth/measure"
	"telltrace/synth/record"
)

func TestReal(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/ecg/mitdb/*.hea")
	for _, f := range files {
		rec, _ := record.ReadAll(f[:len(f)-4])
		s := rec.Strip
		best := time.Hour
		for range 30 {
			start := time.Now()
			n := 0
			for at := 0; at+21600 <= len(s.MV[0]); at += 21600 {
				measure.Read(s.Cut(at, at+21600), s.Leads[0])
				n++
			}
			best = min(best, time.Since(start)*60/time.Duration(n))
		}
		fmt.Print(filepath.Base(f), " ", best.Milliseconds(), "; ")
	}
	fmt.Println()
}
