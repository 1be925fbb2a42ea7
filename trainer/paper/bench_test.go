package paper

import (
	"io"
	"math"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/guptarohit/asciigraph"
	"github.com/muesli/termenv"

	"telltrace/synth/ecg"
	"telltrace/trainer/look"
)

// rendererOf makes a renderer of a colour profile that asks no terminal.
func rendererOf(p termenv.Profile) *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(p)
	return r
}

// beats is a made-up lead II of one beat every rr seconds, its waves Gaussians
// (centre s, height mV, width s), with the marks at 2.5 widths.
func beats(rate, seconds, rr float64) ([]float64, ecg.Marks) {
	waves := [...][3]float64{{0.10, 0.15, 0.022}, {0.225, -0.12, 0.008}, {0.25, 1.1, 0.010}, {0.275, -0.25, 0.009}, {0.48, 0.3, 0.045}}
	samples := make([]float64, int(rate*seconds))
	for i := range samples {
		t := math.Mod(float64(i)/rate, rr)
		for _, w := range waves {
			d := (t - w[0]) / w[2]
			samples[i] += w[1] * math.Exp(-d*d/2)
		}
	}
	var m ecg.Marks
	for t := 0.0; t < seconds; t += rr {
		b := ecg.Beat{
			P:   ecg.Span{Onset: 0.045, Peak: 0.10, Offset: 0.155},
			QRS: ecg.Span{Onset: 0.205, Peak: 0.25, Offset: 0.297},
			T:   ecg.Span{Onset: 0.3675, Peak: 0.48, Offset: 0.593},
		}.Shift(t)
		m.P, m.Beats = append(m.P, b.P), append(m.Beats, b)
	}
	return samples, m
}

const benchRate = 400.0 // 4,000 samples over the 10 s of 200 columns

func benchScene() (*Canvas, View, []float64) {
	samples, _ := beats(benchRate, 40, 0.7)
	return NewCanvas(look.New(rendererOf(termenv.ANSI256), look.Options{})), View{Cols: 200, Rows: 40}, samples
}

func frame(c *Canvas, v View, e *Envelope, dst []byte) []byte {
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Trace(v, e)
	for row := range v.Rows {
		dst = c.AppendRow(dst, row)
	}
	return dst
}

// BenchmarkFrame draws 200 x 40 cells from 4,000 samples: all anew; with two new
// dot columns (the envelope kept, the window moved by one cell); and, as a yard
// stick, asciigraph.Plot of the same samples at a quarter of the rows without
// boxes.
func BenchmarkFrame(b *testing.B) {
	b.Run("anew", func(b *testing.B) {
		c, v, samples := benchScene()
		var e Envelope
		dst := make([]byte, 0, 1<<16)
		b.ReportAllocs()
		for b.Loop() {
			e.Reset(v, benchRate, 0)
			e.Append(samples[:4000])
			dst = frame(c, v, &e, dst[:0])
		}
		b.ReportMetric(float64(len(dst)), "B/frame")
	})
	b.Run("two-new-columns", func(b *testing.B) {
		c, v, samples := benchScene()
		var e Envelope
		e.Reset(v, benchRate, 0)
		e.Append(samples[:4000])
		dst := make([]byte, 0, 1<<16)
		next := 4000
		b.ReportAllocs()
		for b.Loop() {
			if next+20 > len(samples) {
				next = 0
			}
			e.Append(samples[next : next+20])
			next += 20
			v.Left = e.End() - v.Seconds()
			e.Forget(v.Left - 1)
			dst = frame(c, v, &e, dst[:0])
		}
		b.ReportMetric(float64(len(dst)), "B/frame")
	})
	b.Run("asciigraph", func(b *testing.B) {
		_, _, samples := benchScene()
		b.ReportAllocs()
		var text string
		for b.Loop() {
			text = asciigraph.Plot(samples[:4000], asciigraph.Width(190), asciigraph.Height(39))
		}
		b.ReportMetric(float64(len(text)), "B/frame")
	})
}
