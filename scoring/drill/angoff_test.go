package drill

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWorksheet(t *testing.T) {
	var b strings.Builder
	require.NoError(t, parsed(t, small).Worksheet(&b, 2))
	assert.Equal(t, "id,name,strips,judge 1,judge 2\nasystole,asystole,2,,\nsinus-rhythm,sinus rhythm,2,,\n", b.String())
}

// Two entries of three and one strips, two judges: (3x90+70)/4 = 85 and (3x80+60)/4 = 75; mean
// 80, SD 7.0711, SE 5 (by hand from Angoff's definition).
func TestAngoff(t *testing.T) {
	p, err := Angoff("w.csv", strings.NewReader("id,name,strips,judge 1,judge 2,judge 3\nasystole,asystole,3,90,80 ,\nsinus-rhythm,sinus rhythm,1,70%,60,\n"))
	require.NoError(t, err)
	assert.Equal(t, []float64{85, 75}, p.Judges)
	assert.InDelta(t, 80, p.Mark, 1e-12)
	assert.InDelta(t, 7.0711, p.SD, 5e-5)
	assert.InDelta(t, 5, p.SE, 1e-12)
	for text, want := range map[string]string{
		"":                                           "w.csv:1: this is no worksheet",
		"a,b,c,d\n1,2,3,4\n":                         "w.csv:1: this is no worksheet",
		"id,name,strips,judge 1\na,a,1,\n":           "no judge has filled it in",
		"id,name,strips,judge 1\na,a,0,50\n":         "w.csv:2: strips",
		"id,name,strips,judge 1\na,a,1,101\n":        `w.csv:2: judge 1: want a number from 0 to 100, not "101"`,
		"id,name,strips,judge 1\na,a,1,50\nb,b,1,\n": "judge 1 left 1 of 2 entries empty",
		"id,name,strips,judge 1\na,a,1\n":            "w.csv: record on line 2",
	} {
		_, err := Angoff("w.csv", strings.NewReader(text))
		assert.ErrorContains(t, err, want)
	}
}
