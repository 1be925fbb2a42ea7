package norms

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

func TestBandsFollowEachOther(t *testing.T) {
	bands := Bands()
	require.Equal(t, 0.0, bands[0].From.Days())
	for i, b := range bands {
		if i > 0 {
			assert.Equal(t, bands[i-1].To, b.From, b.Name)
		}
		assert.Equal(t, b.Name, BandOf(b.Middle).Name)
		assert.Equal(t, b.Name, BandOf(b.From).Name)
	}
}

func TestBandOf(t *testing.T) {
	// PALS 2015 bands (read second-hand): neonate < 28 d, infant 1 mo-1 y, toddler
	// 1-2 y, preschool 3-5 y, school age 6-11 y, adolescent 12-15 y.
	for age, want := range map[string]string{
		"0d": "newborn", "27d": "newborn", "28d": "infant", "1mo": "infant", "11mo": "infant",
		"12mo": "toddler", "2y": "toddler", "35mo": "toddler", "3y": "preschool", "5y": "preschool",
		"6y": "school", "11y": "school", "12y": "adolescent", "15y": "adolescent", "16y": "adult", "120y": "adult",
	} {
		a, err := ecg.ParseAge(age)
		require.NoError(t, err)
		assert.Equal(t, want, BandOf(a).Name, age)
	}
}

func TestParseAge(t *testing.T) {
	for in, want := range map[string]string{
		"6y": "6y", " 10D ": "10d", "adult": "40y", "Newborn": "10d", "infant": "6mo",
		"toddler": "2y", "preschool": "4y", "school": "8y", "adolescent": "14y",
	} {
		got, err := ParseAge(in)
		require.NoError(t, err, in)
		assert.Equal(t, want, got.String(), in)
	}
	for in, want := range map[string]string{
		"adlt":    `did you mean "adult"?`,
		"todler":  `did you mean "toddler"?`,
		"newbron": `did you mean "newborn"?`,
		"elderly": "newborn, infant, toddler",
		"":        "newborn, infant, toddler",
		"six":     "such as 10d, 4mo or 6y",
		"999y":    "above 120 years",
		"-3y":     "whole number",
	} {
		_, err := ParseAge(in)
		assert.ErrorContains(t, err, want, "%q", in)
	}
}
