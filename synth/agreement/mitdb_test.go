package agreement_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/agreement"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// The eighteen shared excerpts of the MIT-BIH Arrhythmia Database (Moody and Mark, IEEE Eng
// Med Biol 2001;20(3):45), first signal, by EC57: beats found, and ventricular ones told. The
// rules were made with these records in view, so others will come out somewhat lower. On
// the same excerpts the reference detectors have, gross, 0.9808/0.9987 (xqrs of WFDB 4.3.1)
// and 0.9955/0.9950 (gqrs). The bounds of ventricular beats are our own.
func TestMITBIH(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	t.Parallel()
	dir := os.Getenv("TELLTRACE_ECG")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "ecg")
	}
	dir = filepath.Join(dir, "mitdb")
	files, err := filepath.Glob(filepath.Join(dir, "*.hea"))
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skipf("no recordings in %s; set TELLTRACE_ECG", dir)
	}
	require.Len(t, files, 18)
	clean := []string{"100", "103"} // sinus rhythm without noise
	var gross, quiet agreement.Table
	for _, file := range files {
		name := file[:len(file)-len(".hea")]
		rec, err := record.ReadAll(name)
		require.NoError(t, err)
		list, err := record.ReadAnnotations(name + ".atr")
		require.NoError(t, err)
		r, err := measure.Read(rec.Strip, rec.Strip.Leads[0])
		require.NoError(t, err)
		ref, out := agreement.Reference(list, rec.Strip.Rate, rec.Strip.Seconds())
		var found []agreement.Beat
		for _, b := range r.Marks.Beats {
			class := agreement.N
			if b.Origin == ecg.OriginVentricular {
				class = agreement.V
			}
			found = append(found, agreement.Beat{At: b.QRS.Peak, Class: class})
		}
		table := agreement.Compare(ref, found, out, 0, rec.Strip.Seconds())
		gross = gross.Plus(table)
		if slices.Contains(clean, filepath.Base(name)) {
			quiet = quiet.Plus(table)
		}
		q, v := table.QRS(), table.VEB()
		assert.GreaterOrEqual(t, q.Sensitivity, 0.975, filepath.Base(name))
		assert.GreaterOrEqual(t, q.Predictive, 0.96, filepath.Base(name))
		t.Logf("%s: QRS %d, %d missed, %d too many; ventricular %d, %d missed, %d too many", filepath.Base(name), q.TP, q.FN, q.FP, v.TP, v.FN, v.FP)
	}
	q, v := gross.QRS(), gross.VEB()
	t.Logf("gross: QRS %.4f/%.4f, ventricular %.4f/%.4f", q.Sensitivity, q.Predictive, v.Sensitivity, v.Predictive)
	assert.GreaterOrEqual(t, q.Sensitivity, 0.9985)
	assert.GreaterOrEqual(t, q.Predictive, 0.9985)
	assert.GreaterOrEqual(t, quiet.QRS().Sensitivity, 0.9995)
	assert.GreaterOrEqual(t, quiet.QRS().Predictive, 0.9995)
	assert.GreaterOrEqual(t, v.Sensitivity, 0.92)
	assert.GreaterOrEqual(t, v.Predictive, 0.95)
}
