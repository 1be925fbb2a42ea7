package measure

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

const windowSeconds = 8 // as in Amann et al., BioMed Eng OnLine 2005;4:60

// windows reads a lead in consecutive windows.
func windows(t *testing.T, s ecg.Strip, from, to float64) []Reading {
	var out []Reading
	for at := from; at+windowSeconds <= to; at += windowSeconds {
		r, err := Read(s.Cut(int(at*s.Rate), int((at+windowSeconds)*s.Rate)), s.Leads[0])
		require.NoError(t, err)
		out = append(out, r)
	}
	return out
}

// shockable: fibrillation, or a wide regular rhythm faster than 180/min (Jekova and
// Krasteva, Physiol Meas 2004;25:1167).
func shockable(r Reading) bool {
	return r.Kind == Fibrillation || r.Kind == Organised && r.Rate > 180 && r.QRS > 0.12
}

// Fibrillation against organised rhythm on the Creighton records (Nolle et al.,
// Comput Cardiol 1986;13:515; in all but cu01 the change is by eye near 60 s) and
// the MIT-BIH records. Goals of the AHA task force (Kerber et al., Circulation
// 1997;95:1677): sensitivity above 90 %, specificity above 99 %.
func TestFibrillationOnRecordings(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	dir := recordings(t)
	var hit, fibrillation, clear, organised int
	for _, name := range []string{"cu01", "cu06", "cu10", "cu12", "cu22", "cu24"} {
		s := readRecord(t, filepath.Join(dir, "cudb", name))
		for _, r := range windows(t, s, 62, 120) {
			fibrillation++
			if shockable(r) {
				hit++
			} else {
				t.Logf("%s: fibrillation read as %q, %s", name, r.Name, r.Kind)
			}
		}
		for _, r := range windows(t, s, 0, 58) {
			organised++
			if !shockable(r) {
				clear++
			}
		}
	}
	for _, name := range mitdbRecords() {
		s := readRecord(t, filepath.Join(dir, "mitdb", name))
		to := s.Seconds()
		if name == "207" {
			to = 40 // then ventricular flutter comes and goes
		}
		for _, r := range windows(t, s, 0, to) {
			organised++
			if r.Kind != Fibrillation {
				clear++
			} else {
				t.Logf("%s: organised read as fibrillation", name)
			}
		}
	}
	t.Logf("sensitivity %d/%d, specificity %d/%d", hit, fibrillation, clear, organised)
	assert.Greater(t, float64(hit)/float64(fibrillation), 0.90)
	assert.Greater(t, float64(clear)/float64(organised), 0.99)
}

// 207 has ventricular flutter from 40.8 to 51.1 s by its annotations.
func TestFlutterOn207(t *testing.T) {
	s := readRecord(t, filepath.Join(recordings(t), "mitdb", "207"))
	r, err := Read(s.Cut(int(41.5*s.Rate), int(49.5*s.Rate)), s.Leads[0])
	require.NoError(t, err)
	assert.True(t, shockable(r), "%s, rate %g, QRS %g", r.Kind, r.Rate, r.QRS)
}
