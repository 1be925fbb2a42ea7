package measure

import (
	"testing"

	"telltrace/synth/ecg"
)

// Reading 10 s of three leads at 500 Hz, as the trainer does once a second.
func BenchmarkRead(b *testing.B) {
	x := bells(10, 500, every(0.3, 0.5, 10), func(int) []bell {
		return append(qrsOf(0.08, 1), bell{-0.14, 0.02, 0.12}, bell{0.2, 0.03, 0.25})
	})
	s := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II, ecg.III}, MV: [][]float64{x, x, x}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(s, ""); err != nil {
			b.Fatal(err)
		}
	}
}
