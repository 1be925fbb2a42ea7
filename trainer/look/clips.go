package look

// clips are the colours of electrode clips, with the letters on them: 256 and nearest of 16.
var clips = map[string]struct{ ground, letters colour }{
	"white":  {colour{231, 15}, colour{16, 0}},
	"black":  {colour{16, 0}, colour{231, 15}},
	"red":    {colour{124, 1}, colour{231, 15}},
	"green":  {colour{22, 2}, colour{231, 0}},
	"yellow": {colour{226, 11}, colour{16, 0}},
	"brown":  {colour{94, 3}, colour{231, 0}},
}

// Clip is the style of an electrode's letters on a clip of a colour, named as the two codes
// name them (white, black, red, green, yellow, brown). It only goes with the letters; without
// colour it is empty.
func (l *Look) Clip(name string) Style {
	c, ok := clips[name]
	if !ok || !l.coloured {
		return Style{}
	}
	return styled(l.profile, "1", &c.letters, &c.ground)
}
