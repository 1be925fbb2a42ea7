package record

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// The same 20 s as EDF and as WFDB, from wfdb-python's sample files: they differ
// by at most half a step of 2000 uV / 65535.
func TestEDFAgreesWithWFDB(t *testing.T) {
	edf, err := ReadAll(recordings(t, "formats", "test_generator_2.edf"))
	require.NoError(t, err)
	wfdb, err := ReadAll(recordings(t, "formats", "test_generator_2.hea"))
	require.NoError(t, err)
	assert.Equal(t, 200.0, edf.Strip.Rate)
	require.Len(t, edf.Strip.Leads, 8, "of eleven, two are in degrees and one is named pulse")
	require.Equal(t, edf.Strip.Leads, wfdb.Strip.Leads)
	for i := range edf.Strip.MV {
		require.Len(t, edf.Strip.MV[i], 4000)
		for k := range edf.Strip.MV[i] {
			require.InDelta(t, wfdb.Strip.MV[i][k], edf.Strip.MV[i][k], 0.0153e-3, "%s sample %d", edf.Strip.Leads[i], k)
		}
	}
}

// Record 103 written as EDF by wfdb-python, with 3600 padding samples outside the
// digital limits.
func TestEDFOfARecord(t *testing.T) {
	edf, err := ReadAll(recordings(t, "formats", "mitdb_103.edf"))
	require.NoError(t, err)
	rec, err := ReadAll(recordings(t, "mitdb", "103"))
	require.NoError(t, err)
	require.Equal(t, rec.Strip.Leads, edf.Strip.Leads)
	for i, row := range edf.Strip.MV {
		require.Len(t, row, 46800)
		for k, v := range row[:43200] {
			require.InDelta(t, rec.Strip.MV[i][k], v, 1e-9)
		}
		for _, v := range row[43200:] {
			require.True(t, math.IsNaN(v))
		}
	}
}

// 856 events, as biosig 2.5.0, an independent reader, lists them.
func TestEDFAnnotationsOnly(t *testing.T) {
	path := recordings(t, "formats", "test_edfann.edf")
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	h, err := readEDFHeader(path, f)
	require.NoError(t, err)
	events, err := h.events(f)
	require.NoError(t, err)
	assert.Len(t, events, 856)
	assert.Equal(t, edfEvent{0, "Sleep stage W"}, events[0])
	_, err = Open(path)
	assert.ErrorContains(t, err, "annotations only")
}

func TestEDFRoundTrip(t *testing.T) {
	rec := sample()
	path := t.TempDir() + "/r.edf"
	require.NoError(t, WriteEDF(path, rec))
	got, err := ReadAll(path)
	require.NoError(t, err)
	assert.Equal(t, rec.Strip.Leads, got.Strip.Leads)
	assert.Equal(t, rec.Strip.Rate, got.Strip.Rate)
	n := len(rec.Strip.MV[0])
	for i, row := range rec.Strip.MV {
		assertWithin(t, row, got.Strip.MV[i][:n], 0.0005, "lead %d", i)
		for _, v := range got.Strip.MV[i][n:] {
			require.True(t, math.IsNaN(v), "filled up with invalid samples")
		}
	}
	assert.Equal(t, "mmHg", got.Strip.Witnesses[0].Unit)
	want := []ecg.Annotation{{Symbol: "+", Aux: "(N"}, {Sample: 100, Symbol: "N"}, {Sample: 1400, Symbol: "V"},
		{Sample: 1400, Symbol: `"`, Aux: "odd"}, {Sample: 2600, Symbol: "~"}}
	assert.Equal(t, want, got.Annotations, "subtype, channel and number have no place in EDF+")
}

// A discontinuous file: the second data record begins 3 s after the start.
func TestEDFDiscontinuous(t *testing.T) {
	path := t.TempDir() + "/r.edf"
	rec := sample()
	require.NoError(t, WriteEDF(path, rec))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	text := strings.Replace(string(data), "EDF+C", "EDF+D", 1)
	text = strings.Replace(text, "+1\x14\x14\x00", "+3\x14\x14\x00", 1)
	text = strings.Replace(text, "+2\x14\x14\x00", "+4\x14\x14\x00", 1)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	got, err := ReadAll(path)
	require.NoError(t, err)
	require.Equal(t, 5.0, got.Strip.Seconds())
	row, want := got.Strip.MV[0], rec.Strip.MV[0]
	assertWithin(t, want[:1000], row[:1000], 0.0005, "before the gap")
	for _, v := range row[1000:3000] {
		require.True(t, math.IsNaN(v), "the gap")
	}
	assertWithin(t, want[1000:2700], row[3000:4700], 0.0005, "after the gap")

	text = strings.Replace(text, "+4\x14\x14\x00", "+2\x14\x14\x00", 1)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	_, err = Open(path)
	assert.ErrorContains(t, err, "data record 2: begins at 2 s, before the one before it ends")
}

// A record in which nothing was recorded for some seconds is written as a discontinuous file
// without them (EDF+ specification, Kemp and Olivan 2003: EDF+D, each data record with its
// onset), and read back as it was, with what was marked in the gap.
func TestEDFWritesGaps(t *testing.T) {
	rec := sample()
	n := len(rec.Strip.MV[0])
	long := func(row []float64) []float64 {
		out := slices.Repeat(row, 5)[:5*n]
		for i := 1300; i < 9200; i++ {
			out[i] = math.NaN()
		}
		return out
	}
	for i := range rec.Strip.MV {
		rec.Strip.MV[i] = long(rec.Strip.MV[i])
	}
	for i := range rec.Strip.Witnesses {
		rec.Strip.Witnesses[i].Values = long(rec.Strip.Witnesses[i].Values)
	}
	rec.Annotations = []ecg.Annotation{{Sample: 100, Symbol: "N"}, {Sample: 5000, Symbol: "~"}, {Sample: 9300, Symbol: "V"}}
	path := t.TempDir() + "/r.edf"
	require.NoError(t, WriteEDF(path, rec))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "EDF+D", strings.TrimSpace(string(text[192:236])))
	assert.Equal(t, "7", strings.TrimSpace(string(text[236:244])), "of fourteen seconds: 0, 1, 9 to 13")
	got, err := ReadAll(path)
	require.NoError(t, err)
	for i, row := range rec.Strip.MV {
		require.GreaterOrEqual(t, len(got.Strip.MV[i]), len(row))
		assertWithin(t, row[:1300], got.Strip.MV[i][:1300], 0.0005, "lead %d before the gap", i)
		assertWithin(t, row[9200:], got.Strip.MV[i][9200:len(row)], 0.0005, "lead %d after it", i)
		for _, v := range got.Strip.MV[i][1300:9200] {
			require.True(t, math.IsNaN(v))
		}
	}
	assert.Equal(t, rec.Annotations, got.Annotations)
}

func TestEDFBadInput(t *testing.T) {
	dir := t.TempDir()
	good := dir + "/good.edf"
	require.NoError(t, WriteEDF(good, sample()))
	data, err := os.ReadFile(good)
	require.NoError(t, err)
	at := func(offset int, text string) string {
		return string(data[:offset]) + text + string(data[offset+len(text):])
	}
	for name, tt := range map[string]struct{ text, want string }{
		"empty":          {"", "ends after 0 bytes of the 256-byte header"},
		"other kind":     {at(0, "1       "), `version: "1": not an EDF file`},
		"header size":    {at(184, "512     "), "header size: is 512, but 4 signals take 1280"},
		"records":        {at(236, "99999999"), "number of data records: the header promises 99999999, the file holds 3"},
		"no number":      {at(236, "three   "), `number of data records: "three" is not a number`},
		"duration 0":     {at(244, "0       "), "duration of a data record"},
		"no signals":     {at(252, "0   "), "number of signals: 0 is not a whole number from 1"},
		"cut in header":  {string(data[:600]), "ends inside the header"},
		"cut in samples": {string(data[:len(data)-2000]), "the header promises 3, the file holds 2"},
		"huge record":    {at(256+4*(16+80+8+8+8+8+8+80), "99999999"), "samples per data record"},
		"flat range":     {at(256+4*(16+80+8), "1       ")[:256+4*(16+80+8+8)] + "1       " + string(data[256+4*(16+80+8+8)+8:]), "minimum is not below its maximum"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Open(write(t, dir, "bad.edf", tt.text))
			var own *Error
			require.ErrorAs(t, err, &own)
			assert.ErrorContains(t, err, tt.want)
		})
	}
	rec := sample()
	rec.Strip.Rate = 360.0001
	assert.ErrorContains(t, WriteEDF(good, rec), "whole number of samples")
	rec = sample()
	rec.Strip.Leads[0] = "a lead of too long a name"
	assert.ErrorContains(t, WriteEDF(good, rec), "longer than the 16 letters")
}
