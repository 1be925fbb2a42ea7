package measure

import (
	"encoding/json"
	"fmt"
	"os"
	"telltrace/synth/ecg"
	"testing"
)

func TestDbg2(t *testing.T) {
	data, _ := os.ReadFile("/tmp/strips.json")
	var all []struct {
		Name string
		MV   []float64
		QRS  []float64
		P    []float64
	}
	json.Unmarshal(data, &all)
	for _, a := range all {
		sl, en := steepness(a.MV, 500)
		lv := levels(en, 500)
		c := candidates(a.MV, sl, en, 500)
		bs := pick(c, lv, 500)
		fmt.Println(a.Name, "truth", a.QRS[:min(8, len(a.QRS))])
		tr := examine(clean(a.MV), 500)
		fmt.Printf("features %+v groups %v\n", tr.features, tr.group)
		for _, k := range c {
			if k.at > 2500 {
				break
			}
			is := " "
			for _, b := range bs {
				if b.at == k.at {
					is = "*"
				}
			}
			fmt.Printf(" %s %.3f str %.3f slope %.3f bend %.3f size %.2f\n", is, float64(k.at)/500, k.strength/lv[0], k.slope, k.bend, k.size)
		}
		r, _ := Read(row(a.MV, 500), ecg.II)
		for _, b := range r.Marks.Beats[:min(4, len(r.Marks.Beats))] {
			fmt.Printf("   P %.3f Q %.3f T %.3f\n", b.P, b.QRS, b.T)
		}
		fmt.Println(r.Reasons)
	}
}
