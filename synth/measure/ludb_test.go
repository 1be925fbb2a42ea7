package measure

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// wave is a wave marked by a cardiologist, NaN where a boundary is missing.
type wave struct {
	kind              int
	onset, peak, offs float64
}

func readWaves(t *testing.T, path string, rate float64) (out []wave) {
	open := nan
	for _, m := range readMarks(t, path) {
		at := float64(m.at) / rate
		switch m.code {
		case codeOn:
			open = at
		case codeOff:
			if len(out) > 0 && math.IsNaN(out[len(out)-1].offs) {
				out[len(out)-1].offs = at
			}
			open = nan
		default:
			out = append(out, wave{m.code, open, at, nan})
			open = nan
		}
	}
	return out
}

// errors of one fiducial in ms.
type errs struct {
	x            []float64
	hit, missed  int
	extra, found int
}

func (e *errs) stats() (mean, sd float64) {
	m, cv := meanAndCV(e.x)
	return m, math.Abs(cv * m)
}

func nearestSpan(spans []ecg.Span, peak, within float64) (ecg.Span, bool) {
	best, ok := ecg.Span{}, false
	for _, s := range spans {
		if !s.Present() {
			continue
		}
		mid := s.Peak
		if math.Abs(mid-peak) < within {
			within, best, ok = math.Abs(mid-peak), s, true
		}
	}
	return best, ok
}

func TestBoundariesOnLUDB(t *testing.T) {
	dir := filepath.Join(recordings(t), "ludb")
	files, err := filepath.Glob(filepath.Join(dir, "*.hea"))
	require.NoError(t, err)
	for _, leads := range [][]ecg.Lead{{"i"}, {"ii"}, {"iii"}, {"v1"}, {"v5"}} {
		all := map[string]*errs{}
		for _, k := range []string{"Pon", "Ppk", "Poff", "Qon", "Qoff", "Ton", "Tpk", "Toff"} {
			all[k] = &errs{}
		}
		for _, f := range files {
			base := strings.TrimSuffix(f, ".hea")
			s := readRecord(t, base)
			for _, lead := range leads {
				r, err := Read(s, lead)
				require.NoError(t, err)
				waves := readWaves(t, base+"."+string(lead), s.Rate)
				first, last := waves[0].peak, waves[len(waves)-1].peak
				var q, tt []ecg.Span
				for _, b := range r.Marks.Beats {
					q, tt = append(q, b.QRS), append(tt, b.T)
				}
				add := func(k string, spans []ecg.Span, w wave, which func(ecg.Span) float64, want float64) {
					if math.IsNaN(want) {
						return
					}
					e := all[k]
					got, ok := nearestSpan(spans, w.peak, 0.1)
					if !ok {
						e.missed++
						return
					}
					e.hit++
					e.x = append(e.x, 1000*(which(got)-want))
				}
				on, pk, off := func(s ecg.Span) float64 { return s.Onset }, func(s ecg.Span) float64 { return s.Peak }, func(s ecg.Span) float64 { return s.Offset }
				counts := map[int][2]int{}
				nP := 0
				var lp, lt []float64
				for _, w := range waves {
					switch w.kind {
					case codeP:
						add("Pon", r.Marks.P, w, on, w.onset)
						add("Ppk", r.Marks.P, w, pk, w.peak)
						add("Poff", r.Marks.P, w, off, w.offs)
						nP++
						if g, ok := nearestSpan(r.Marks.P, w.peak, 0.1); ok {
							lp = append(lp, 1000*(g.Onset-w.onset))
						}
					case codeT:
						add("Ton", tt, w, on, w.onset)
						add("Tpk", tt, w, pk, w.peak)
						add("Toff", tt, w, off, w.offs)
						if g, ok := nearestSpan(tt, w.peak, 0.1); ok {
							lt = append(lt, 1000*(g.Offset-w.offs))
						}
					case codeN:
						add("Qon", q, w, on, w.onset)
						add("Qoff", q, w, off, w.offs)
					}
				}
				extra := 0
				for _, p := range r.Marks.P {
					if p.Peak < first-0.05 || p.Peak > last+0.05 {
						continue
					}
					ok := false
					for _, w := range waves {
						ok = ok || w.kind == codeP && math.Abs(w.peak-p.Peak) < 0.1
					}
					if !ok {
						extra++
					}
				}
				all["Ppk"].extra += extra
				extraT := 0
				for _, p := range tt {
					if !p.Present() || p.Peak < first-0.05 || p.Peak > last+0.05 {
						continue
					}
					ok := false
					for _, w := range waves {
						ok = ok || w.kind == codeT && math.Abs(w.peak-p.Peak) < 0.1
					}
					if !ok {
						extraT++
					}
				}
				all["Tpk"].extra += extraT
				_ = counts
				if testing.Verbose() && len(leads) == 1 && lead == "ii" {
					mp, _ := meanAndCV(lp)
					mt, _ := meanAndCV(lt)
					t.Logf("%s %s kind %s rate %.0f PR %.0f QRS %.0f QT %.0f  P ref %d hit %d extra %d  Pon %.0f Toff %.0f  T extra %d p/q %.2f", filepath.Base(base), lead, r.Kind, r.Rate, 1000*r.PR, 1000*r.QRS, 1000*r.QT, nP, len(lp), extra, mp, mt, extraT, r.PPerQRS)
				}
			}
		}
		var line strings.Builder
		for _, k := range []string{"Pon", "Ppk", "Poff", "Qon", "Qoff", "Ton", "Tpk", "Toff"} {
			e := all[k]
			m, sd := e.stats()
			fmt.Fprintf(&line, "  %s n=%d missed %d extra %d: %.1f ± %.1f (median %.1f)\n", k, e.hit, e.missed, e.extra, m, sd, median(e.x))
		}
		t.Logf("%v\n%s", leads, line.String())
	}
	assert.True(t, true)
}
