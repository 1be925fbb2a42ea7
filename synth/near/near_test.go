package near

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWord(t *testing.T) {
	list := []string{"sinus-rhythm", "sinus-bradycardia", "asystole", "ventricular-bigeminy", "newborn", "adult"}
	for _, tt := range []struct {
		word, want string
	}{
		{"sinus-rythm", "sinus-rhythm"},
		{"Asystoly", "asystole"},
		{"bigeminy", "ventricular-bigeminy"},
		{"adlt", "adult"},
		{"sinus", "sinus-rhythm"}, // part of two
		{"torsades", ""},
		{"", ""},
	} {
		got, ok := Word(tt.word, list)
		assert.Equal(t, tt.want, got, tt.word)
		assert.Equal(t, tt.want != "", ok, tt.word)
	}
}

func TestSlips(t *testing.T) {
	// The textbook example of the Levenshtein distance (from memory).
	assert.Equal(t, 3, slips("kitten", "sitting"))
	assert.Equal(t, 0, slips("", ""))
	assert.Equal(t, 5, slips("", "adult"))
}
