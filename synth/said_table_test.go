package synth

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSaidTable(t *testing.T) {
	t.Parallel()
	for words, id := range said {
		_, ok := Lesson(id)
		assert.True(t, ok, "%q leads to %q", words, id)
		assert.Equal(t, squeeze(words), words, "written as it is looked up")
	}
}
