package figure

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/report/pdf"
	"telltrace/synth/ecg"
)

var made = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

// raster draws the pages of a PDF with poppler at 254 dots an inch, which is 10 a
// millimetre, and returns them with the words of the document.
func raster(t *testing.T, file []byte) (pages []*image.Gray, words string) {
	t.Helper()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("needs pdftoppm and pdftotext of poppler-utils; .ci/run installs them")
	}
	folder := t.TempDir()
	name := filepath.Join(folder, "sheet.pdf")
	require.NoError(t, os.WriteFile(name, file, 0o600))
	said, err := exec.Command("pdftoppm", "-r", "254", "-gray", "-png", name, filepath.Join(folder, "p")).CombinedOutput()
	require.NoError(t, err)
	assert.Empty(t, string(said), "poppler finds no fault in the file")
	names, err := filepath.Glob(filepath.Join(folder, "p*.png"))
	require.NoError(t, err)
	for _, each := range names {
		f, err := os.Open(each)
		require.NoError(t, err)
		img, err := png.Decode(f)
		require.NoError(t, err)
		f.Close()
		grey := image.NewGray(img.Bounds())
		draw.Draw(grey, grey.Bounds(), img, image.Point{}, draw.Src)
		pages = append(pages, grey)
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	require.NoError(t, err)
	return pages, string(out)
}

// shade is how much darker than white a dot is, 0 to 1.
func shade(img *image.Gray, x, y int) float64 { return 1 - float64(img.GrayAt(x, y).Y)/255 }

// spacing is the distance of the lines of a comb, dots, about the one expected: the
// longest run of the profile in which line follows line, first to last over their number.
func spacing(profile []float64, expected float64) (each float64, lines int) {
	floor := 0.5 * maxOf(profile)
	var at []float64
	for i := 0; i < len(profile); {
		if profile[i] < floor {
			i++
			continue
		}
		sum, weight := 0.0, 0.0
		for ; i < len(profile) && profile[i] >= floor; i++ {
			sum, weight = sum+float64(i)*profile[i], weight+profile[i]
		}
		at = append(at, sum/weight)
	}
	from := 0
	for i := 1; i <= len(at); i++ {
		if i < len(at) && math.Abs(at[i]-at[i-1]-expected) < 2 {
			continue
		}
		if n := i - from; n > lines {
			lines, each = n, (at[i-1]-at[from])/float64(n-1)
		}
		from = i
	}
	return each, lines
}

func maxOf(xs []float64) (m float64) {
	for _, x := range xs {
		m = max(m, x)
	}
	return m
}

// A big box is 5 mm (0.2 s at 25 mm/s, 0.5 mV at 10 mm/mV), 50 dots at 254 dpi; the
// ruler has a line each millimetre; 1 mV is 100 dots.
func TestPaperIsTrueToScale(t *testing.T) {
	for _, size := range pdf.Sizes {
		for _, seconds := range []float64{6, 10} {
			t.Run(fmt.Sprint(size, seconds), func(t *testing.T) {
				strip := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{make([]float64, int(seconds*500))}}
				var b bytes.Buffer
				require.NoError(t, Sheet{Title: "Scale", Paper: Grey, Size: size, Made: made, Foot: "caution",
					Items: []Item{{Strip: strip, Leads: strip.Leads}}}.PDF(&b))
				pages, _ := raster(t, b.Bytes())
				require.Len(t, pages, 1)
				img := pages[0]
				wide, tall := img.Bounds().Dx(), img.Bounds().Dy()
				w, h := size.MM()
				if seconds > 7 {
					w, h = h, w
				}
				assert.InDelta(t, w*10, wide, 1.5)
				assert.InDelta(t, h*10, tall, 1.5)

				rows, columns, ruler := make([]float64, tall), make([]float64, wide), make([]float64, wide)
				for y := range tall {
					for x := range wide {
						v := shade(img, x, y)
						squares := min(v, 0.3) // as dark as the lines of boxes, so that ink counts no more
						rows[y] += squares
						if y < tall-int(footTall*10) {
							columns[x] += squares
						} else if mm := float64(y)/10 - (h - footTall) - 4; mm > 0.3 && mm < 1.1 {
							ruler[x] += v
						}
					}
				}
				each, lines := spacing(columns, 50)
				assert.InEpsilon(t, 50, each, 0.005)
				assert.GreaterOrEqual(t, lines, int(seconds*5), "%v boxes across", lines)
				each, lines = spacing(rows, 50)
				assert.InEpsilon(t, 50, each, 0.005)
				assert.GreaterOrEqual(t, lines, 4)
				each, lines = spacing(ruler, 10)
				assert.InEpsilon(t, 10, each, 0.005)
				assert.Equal(t, rulerMM+1, lines, "a line each millimetre")
				assertCalibration(t, img, rows)
			})
		}
	}
}

// assertCalibration looks for the top of the pulse: black, level, 50 dots wide, 100
// above the base line, which is the longest black line of the page's upper part.
func assertCalibration(t *testing.T, img *image.Gray, rows []float64) {
	t.Helper()
	runs := map[int]int{}
	for y := range len(rows) - int(footTall*10) {
		run := 0
		for x := range img.Bounds().Dx() {
			if shade(img, x, y) > 0.7 {
				run++
				runs[y] = max(runs[y], run)
			} else {
				run = 0
			}
		}
	}
	base, top := 0.0, 0.0
	var n, m float64
	for y, run := range runs {
		if run > 1000 {
			base, n = base+float64(y), n+1
		} else if run >= 48 && run <= 55 {
			top, m = top+float64(y), m+1
		}
	}
	require.Positive(t, n, "a base line")
	require.Positive(t, m, "the top of the calibration pulse")
	assert.InDelta(t, 100, base/n-top/m, 1, "1 mV is 10 mm")
}

// The answers stand after the strips on pages of their own, and not at all when they
// are not asked for; the same sheet is the same bytes.
func TestSheetKeepsItsAnswersToTheEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	sheet := Sheet{Title: "Quiz <1> \u202e(evil)", Paper: Pink, Size: pdf.A4, Made: made, Foot: "Training only."}
	for i := range 14 {
		sheet.Items = append(sheet.Items, Item{Strip: square(6), Leads: []ecg.Lead{ecg.II},
			Above: []string{fmt.Sprintf("%d. Age 6 years. ______", i+1)}, Answer: []string{fmt.Sprintf("Secret %d", i+1), strings.Repeat("why ", 60)}})
	}
	write := func(key bool) []byte {
		sheet.Key = key
		var b bytes.Buffer
		require.NoError(t, sheet.PDF(&b))
		return b.Bytes()
	}
	with := write(true)
	assert.True(t, bytes.Equal(with, write(true)))
	plain, words := raster(t, write(false))
	assert.NotContains(t, words, "Secret")
	keyed, words := raster(t, with)
	assert.Greater(t, len(keyed), len(plain), "the key has its own page")
	parts := strings.Split(strings.TrimSuffix(words, "\f"), "\f")
	require.Len(t, parts, len(keyed))
	for i, part := range parts {
		assert.Equal(t, i >= len(plain), strings.Contains(part, "Secret"), "page %d", i+1)
		assert.Contains(t, part, "Training only.")
		assert.Contains(t, part, "Quiz <1> (evil)")
	}
	for i := range 14 {
		assert.Contains(t, words, fmt.Sprintf("Secret %d\n", i+1))
		assert.Contains(t, words, fmt.Sprintf("%d. Age 6 years.", i+1))
	}
}

// Strips taller than a page go on over the next in whole leads; nothing runs into the foot.
func TestTallStripsGoOnOverThePage(t *testing.T) {
	s := square(24)
	s.Leads, s.MV = []ecg.Lead{ecg.I, ecg.II, ecg.III}, [][]float64{s.MV[0], s.MV[0], s.MV[0]}
	f := New(Pink, s, s.Leads, []string{"above"}, nil)
	bands := f.bands()
	require.Len(t, bands, 1+3*3+1)
	for i := 1; i < len(bands); i++ {
		assert.GreaterOrEqual(t, bands[i].top, bands[i-1].bottom-1e-6)
	}
	var b bytes.Buffer
	require.NoError(t, Sheet{Paper: Pink, Size: pdf.Letter, Made: made, Items: []Item{{Strip: s, Leads: s.Leads}}}.PDF(&b))
	pages, _ := raster(t, b.Bytes())
	assert.Greater(t, len(pages), 1)
	for _, img := range pages {
		y := img.Bounds().Dy() - int(footTall*10) + 20
		for x := 0; x < img.Bounds().Dx()/4; x++ {
			require.Less(t, shade(img, x, y-10), 0.05, "white above the ruler")
		}
	}
	require.Error(t, Sheet{Size: pdf.A4, Items: []Item{{Strip: s}}}.PDF(&b))
}
