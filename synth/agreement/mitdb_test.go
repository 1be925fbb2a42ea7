package agreement_test

import (
	"cmp"
	"math"
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
	files := excerpts(t)
	clean := []string{"100", "103"} // sinus rhythm without noise
	var gross, quiet agreement.Table
	for _, file := range files {
		name := file[:len(file)-len(".hea")]
		rec, err := record.ReadAll(name)
		require.NoError(t, err)
		list, err := record.ReadAnnotations(name + ".atr")
		require.NoError(t, err)
		ref, out := agreement.Reference(list, rec.Strip.Rate, rec.Strip.Seconds())
		table := compared(t, rec.Strip.Rate, rec.Strip.MV[0], ref, out)
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

// A recording read at once as it would be over 24 minutes: each excerpt eight times, its height
// changing by a fifth as with breathing and position, and in a fifth of the time real noise of
// the MIT-BIH Noise Stress Test Database (Moody, Muldrow and Mark, Comput Cardiol 1984;11:381)
// of up to 0.15 mV. What is judged once, such as what the usual beats are, must hold for all.
func TestMITBIHForLong(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	t.Parallel()
	files := excerpts(t)
	var noise [][]float64
	for _, name := range []string{"bw", "em_scaled", "ma"} {
		rec, err := record.ReadAll(filepath.Join(filepath.Dir(files[0]), "..", "nstdb", name))
		require.NoError(t, err)
		noise = append(noise, unit(rec.Strip.MV[0]))
	}
	const times = 8
	var gross agreement.Table
	for k, file := range files {
		name := file[:len(file)-len(".hea")]
		rec, err := record.ReadAll(name)
		require.NoError(t, err)
		list, err := record.ReadAnnotations(name + ".atr")
		require.NoError(t, err)
		rate, once := rec.Strip.Rate, rec.Strip.MV[0]
		beats, spans := agreement.Reference(list, rate, rec.Strip.Seconds())
		var ref []agreement.Beat
		var out []agreement.Span
		mv := make([]float64, 0, times*len(once))
		for i := range times {
			later := float64(i) * rec.Strip.Seconds()
			for _, b := range beats {
				ref = append(ref, agreement.Beat{At: b.At + later, Class: b.Class})
			}
			for _, s := range spans {
				out = append(out, agreement.Span{From: s.From + later, To: s.To + later})
			}
			for _, v := range once {
				at := float64(len(mv)) / rate
				v *= 1 + 0.2*math.Sin(2*math.Pi*at/500)
				if phase := math.Mod(at+float64(13*k), 90); phase < 20 {
					kind := noise[int(at/90)%len(noise)]
					v += 0.15 * math.Sin(math.Pi*phase/20) * kind[len(mv)%len(kind)]
				}
				mv = append(mv, v)
			}
		}
		table := compared(t, rate, mv, ref, out)
		q, v := table.QRS(), table.VEB()
		t.Logf("%s: QRS %d, %d missed, %d too many; ventricular %d, %d missed, %d too many", filepath.Base(name), q.TP, q.FN, q.FP, v.TP, v.FN, v.FP)
		gross = gross.Plus(table)
	}
	q, v := gross.QRS(), gross.VEB()
	t.Logf("gross: QRS %.4f/%.4f, ventricular %.4f/%.4f", q.Sensitivity, q.Predictive, v.Sensitivity, v.Predictive)
	assert.GreaterOrEqual(t, q.Sensitivity, 0.9980)
	assert.GreaterOrEqual(t, q.Predictive, 0.9965)
	assert.GreaterOrEqual(t, v.Sensitivity, 0.94)
	assert.GreaterOrEqual(t, v.Predictive, 0.96)
}

// excerpts lists the shared excerpts, or skips.
func excerpts(t *testing.T) []string {
	t.Helper()
	dir := filepath.Join(cmp.Or(os.Getenv("TELLTRACE_ECG"), filepath.Join("..", "..", "..", "shared", "ecg")), "mitdb")
	files, err := filepath.Glob(filepath.Join(dir, "*.hea"))
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skipf("no recordings in %s; set TELLTRACE_ECG", dir)
	}
	require.Len(t, files, 18)
	return files
}

// compared reads a lead and compares its beats.
func compared(t *testing.T, rate float64, mv []float64, ref []agreement.Beat, out []agreement.Span) agreement.Table {
	t.Helper()
	s := ecg.Strip{Rate: rate, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{mv}}
	r, err := measure.Read(s, ecg.II)
	require.NoError(t, err)
	var found []agreement.Beat
	for _, b := range r.Marks.Beats {
		class := agreement.N
		if b.Origin == ecg.OriginVentricular {
			class = agreement.V
		}
		found = append(found, agreement.Beat{At: b.QRS.Peak, Class: class})
	}
	return agreement.Compare(ref, found, out, 0, s.Seconds())
}

// unit is x less its mean, with a root mean square of 1.
func unit(x []float64) []float64 {
	mean, squares := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		squares += (v - mean) * (v - mean) / float64(len(x))
	}
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = (v - mean) / math.Sqrt(squares)
	}
	return out
}
