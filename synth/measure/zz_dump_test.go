package measure_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"testing"
)

func TestDump(t *testing.T) {
	type d struct {
		Name       string
		MV, QRS, P []float64
	}
	var all []d
	for _, k := range strings.Fields(os.Getenv("IDS")) {
		id, err := ecg.ParseIdentity(k)
		if err != nil {
			t.Fatal(err)
		}
		s, m, err := synth.Render(id, 10)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, d{k, s.Row(ecg.II), beats(m), ps(m)})
		for _, b := range m.Beats[:4] {
			fmt.Printf("%s truth P %.3f Q %.3f T %.3f\n", k, b.P, b.QRS, b.T)
		}
	}
	b, _ := json.Marshal(all)
	os.WriteFile("/tmp/strips.json", b, 0o644)
}
