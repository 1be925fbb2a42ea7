package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// square is lead II with a square wave of 1 mV that lasts 0.2 s from 1.0 s on.
func square(seconds float64) ecg.Strip {
	const rate = 500
	row := make([]float64, int(seconds*rate))
	for i := range row {
		if t := float64(i) / rate; t >= 1 && t < 1.2 {
			row[i] = 1
		}
	}
	return ecg.Strip{Rate: rate, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{row}}
}

// polylines are those of an SVG, in mm.
func polylines(t *testing.T, svg []byte) (lines [][]point, texts []string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return lines, texts
		}
		require.NoError(t, err, "well-formed XML")
		switch e := token.(type) {
		case xml.StartElement:
			for _, a := range e.Attr {
				if a.Name.Local != "points" {
					continue
				}
				var line []point
				for _, pair := range strings.Fields(a.Value) {
					x, y, _ := strings.Cut(pair, ",")
					px, err1 := strconv.ParseFloat(x, 64)
					py, err2 := strconv.ParseFloat(y, 64)
					require.NoError(t, errors.Join(err1, err2))
					line = append(line, point{px, py})
				}
				lines = append(lines, line)
			}
		case xml.CharData:
			if s := strings.TrimSpace(string(e)); s != "" {
				texts = append(texts, s)
			}
		}
	}
}

func extent(line []point) (w, h float64) {
	lo, hi := line[0], line[0]
	for _, p := range line {
		lo, hi = point{min(lo.x, p.x), min(lo.y, p.y)}, point{max(hi.x, p.x), max(hi.y, p.y)}
	}
	return hi.x - lo.x, hi.y - lo.y
}

// 25 mm/s and 10 mm/mV, the usual paper: 4 s are 100 mm, 1 mV is 10 mm, and the
// calibration pulse is 5 mm by 10 mm with a foot of 1 mm on either side.
func TestSVGIsTrueToScale(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, New(Pink, square(4), []ecg.Lead{ecg.II}, []string{"a <strip> & more"}, []string{"caution"}).SVG(&b))
	lines, texts := polylines(t, b.Bytes())
	require.Len(t, lines, 2)
	w, h := extent(lines[0])
	assert.InDelta(t, 100, w, 0.1)
	assert.InDelta(t, 10, h, 1e-6)
	w, h = extent(lines[1])
	assert.InDelta(t, 7, w, 1e-6)
	assert.InDelta(t, 10, h, 1e-6)
	assert.Equal(t, []string{"a <strip> & more", "II", "25 mm/s   10 mm/mV", "caution"}, texts)
	assert.Contains(t, b.String(), `mm" viewBox="0 0 `)
}

// The image has the wave where the vector drawing has it, 8 dots a millimetre.
func TestPNGShowsWhatSVGDoes(t *testing.T) {
	for _, p := range Papers {
		f := New(p, square(4), []ecg.Lead{ecg.II}, nil, nil)
		var b bytes.Buffer
		require.NoError(t, f.PNG(&b))
		img, err := png.Decode(&b)
		require.NoError(t, err)
		assert.Equal(t, int(math.Ceil(f.width*8)), img.Bounds().Dx())
		dark := func(at point) bool {
			r, g, b, _ := img.At(int(at.x*8), int(at.y*8)).RGBA()
			return r < 0x5000 && g < 0x5000 && b < 0x5000
		}
		for _, line := range f.lines {
			for i := 1; i < len(line); i += 97 {
				assert.True(t, dark(point{(line[i].x + line[i-1].x) / 2, (line[i].y + line[i-1].y) / 2}), "%s: ink at %v", p, line[i])
			}
		}
		assert.False(t, dark(point{1, 1}), "the page is light")
	}
}

// Longer strips go on in the next line, missing samples leave a gap, tall waves end at
// the edge of their paper, and nothing of it panics.
func TestLinesGapsAndEdges(t *testing.T) {
	f := New(Grey, square(24), []ecg.Lead{ecg.II}, nil, nil)
	assert.Len(t, f.grids, 3, "ten seconds a line")
	s := square(4)
	for i := 500; i < 900; i++ {
		s.MV[0][i] = math.NaN()
	}
	s.MV[0][1500] = 40
	f = New(Pink, s, []ecg.Lead{ecg.II}, nil, nil)
	assert.Len(t, f.lines, 3, "before the gap, after it, calibration")
	g := f.grids[0]
	for _, line := range f.lines {
		for _, p := range line {
			assert.True(t, p.y >= g.y-1e-9 && p.y <= g.y+g.h+1e-9, "%v within %v", p, g)
		}
	}
	for i := range s.MV[0] {
		s.MV[0][i] = math.NaN()
	}
	require.NoError(t, New(Pink, s, []ecg.Lead{ecg.II}, nil, nil).PNG(io.Discard))
	require.NoError(t, New(Pink, ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{{}}}, []ecg.Lead{ecg.II}, nil, nil).PNG(io.Discard))
}
