package ecg

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseAge(t *testing.T) {
	for _, tt := range []struct {
		text  string
		age   Age
		days  float64
		words string
	}{
		{"0d", Days(0), 0, "0 days"},
		{"1d", Days(1), 1, "1 day"},
		{"10d", Days(10), 10, "10 days"},
		{"1mo", Months(1), 30.4375, "1 month"}, // the mean Gregorian month, 365.25/12 days
		{"4mo", Months(4), 121.75, "4 months"},
		{"1y", Years(1), 365.25, "1 year"},
		{"6y", Years(6), 2191.5, "6 years"},
		{"120y", Years(120), 43830, "120 years"},
	} {
		got, err := ParseAge(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.age, got)
		assert.Equal(t, tt.text, got.String())
		assert.Equal(t, tt.words, got.Words())
		assert.InDelta(t, tt.days, got.Days(), 1e-9, tt.text)
		assert.InDelta(t, tt.days/365.25, got.Years(), 1e-12, tt.text)
	}
	loose, err := ParseAge(" 6Y ")
	require.NoError(t, err)
	assert.Equal(t, Years(6), loose, "spaces and capitals do not matter")
}

func TestParseAgeRefused(t *testing.T) {
	for _, text := range []string{"", "6", "y", "six years", "-1d", "+1d", "1.5y", "6w", "6y3mo", "121y", "9999999999999999999d"} {
		_, err := ParseAge(text)
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), text)
		}
	}
	for _, make := range []func(){func() { Days(-1) }, func() { Months(-1) }, func() { Years(-1) }} {
		assert.Panics(t, make, "a negative age is a programmer's mistake")
	}
}

func TestStripCut(t *testing.T) {
	s := Strip{
		Rate: 4, Leads: []Lead{I, II},
		MV:        [][]float64{{0, 1, 2, 3, 4, 5}, {10, 11, 12, 13, 14, 15}},
		Witnesses: []Witness{{Kind: Pleth, Values: []float64{20, 21, 22, 23, 24, 25}}},
	}
	c := s.Cut(1, 4)
	assert.Equal(t, []float64{1, 2, 3}, c.Row(I))
	assert.Equal(t, []float64{11, 12, 13}, c.Row(II))
	assert.Nil(t, c.Row(V1))
	assert.Equal(t, []float64{21, 22, 23}, c.Witness(Pleth))
	assert.Nil(t, c.Witness(ArterialPressure))
	assert.InDelta(t, 0.75, c.Seconds(), 0)
	assert.InDelta(t, 1.5, s.Seconds(), 0, "the strip that was cut keeps its length")
	assert.Equal(t, []float64{0, 1, 2, 3, 4, 5}, s.MV[0])
	assert.Len(t, s.Witnesses[0].Values, 6)

	c.MV[0][0] = 99
	assert.InDelta(t, 99, s.MV[0][1], 0, "a cut shares the strip's memory")
	assert.Zero(t, s.Cut(2, 2).Seconds())
	assert.Panics(t, func() { s.Cut(0, 7) })
	assert.Zero(t, Strip{}.Seconds())
	assert.Zero(t, Strip{MV: [][]float64{{1}}}.Seconds(), "no rate, no length")
}

func TestBeatIntervals(t *testing.T) {
	b := Beat{P: Span{0.10, 0.15, 0.20}, QRS: Span{0.26, 0.30, 0.35}, T: Span{0.45, 0.55, 0.63}}
	for _, tt := range []struct {
		name string
		of   func(Beat) (float64, bool)
		want float64
	}{{"PR", Beat.PR, 0.16}, {"QRS", Beat.QRSWidth, 0.09}, {"QT", Beat.QT, 0.37}} {
		for _, beat := range []Beat{b, b.Shift(3)} {
			got, ok := tt.of(beat)
			assert.True(t, ok, tt.name)
			assert.InDelta(t, tt.want, got, 1e-12, tt.name)
		}
		_, ok := tt.of(Beat{})
		assert.False(t, ok, "%s of a beat without waves", tt.name)
	}
	lone := Beat{QRS: b.QRS}
	_, ok := lone.PR()
	assert.False(t, ok)
	assert.Equal(t, Span{}, lone.Shift(5).P, "an absent wave stays absent")
}
