package paper

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"telltrace/trainer/look"
)

func TestPlainPicture(t *testing.T) {
	samples, _ := beats(500, 3, 0.7)
	golden(t, "plain-80", Plain(samples, 80, 14)+"\n")
}

func TestPlainShowsAPeakOfOneSample(t *testing.T) {
	for at := range 40 {
		samples := make([]float64, 2000)
		samples[1000+at] = 2
		top, _, _ := strings.Cut(Plain(samples, 80, 15), "\n")
		assert.Contains(t, top, "╭", "sample %d", at)
	}
}

func TestPlainKeepsItsSizeAndAxis(t *testing.T) {
	quiet := make([]float64, 1000)
	loud := make([]float64, 1000)
	for i := range loud {
		loud[i] = 40 * math.Sin(float64(i)/20)
	}
	a, b := strings.Split(Plain(quiet, 80, 14), "\n"), strings.Split(Plain(loud, 80, 14), "\n")
	assert.Equal(t, len(a), len(b))
	for i := range a[:len(a)-1] {
		assert.Equal(t, strings.IndexAny(a[i], "┤┼"), strings.IndexAny(b[i], "┤┼"), "the axis stays where it is")
		assert.LessOrEqual(t, utf8.RuneCountInString(b[i]), 80)
	}
}

func TestPlainOfNothing(t *testing.T) {
	nan := math.NaN()
	for _, samples := range [][]float64{nil, {}, {nan}, {nan, nan, nan}} {
		assert.Equal(t, look.NoSignal, Plain(samples, 80, 10))
	}
	for _, size := range [][2]int{{0, 0}, {-5, -5}, {1, 1}, {3, 100}, {500, 2}} {
		assert.NotEmpty(t, Plain([]float64{0, nan, 1, math.Inf(1), -1}, size[0], size[1]), "%v", size)
	}
}
