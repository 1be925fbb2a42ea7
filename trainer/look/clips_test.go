package look

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The letters on every clip reach the contrast of text, 4.5 to 1 (WCAG 2.1), for every kind
// of colour vision; without colour there is only the text.
func TestClips(t *testing.T) {
	for name, c := range clips {
		for _, v := range visions {
			assert.GreaterOrEqual(t, contrast(c.ground.x256, c.letters.x256, v.m), 4.5, "%s, %s", name, v.name)
		}
	}
	assert.Equal(t, "(RA)", New(nil, Options{}).Clip("white").Render("(RA)"))
}
