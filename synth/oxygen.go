package synth

// The pulse oximeter averages and lags: when flow stops its number stands for some
// seconds, then falls, then is lost (common practice; the figures are ours).
const (
	numberStands = 8.0  // s after the last pulse
	numberLost   = 18.0 // s after the last pulse
	fallsBy      = 0.8  // % a second in between
)

// Oxygen is how far the saturation number has fallen below the patient's own by now,
// in %, and whether the probe still finds a pulse to measure on. After flow has
// stopped the number stands for seconds, so it is no proof of a pulse.
func (p *Player) Oxygen() (fallen float64, found bool) {
	return OxygenAfter(float64(p.now)/float64(p.id.Rate) - p.lastPulse)
}

// OxygenAfter is Oxygen when the last pulse that the probe found was so many seconds
// ago.
func OxygenAfter(since float64) (fallen float64, found bool) {
	switch {
	case since < numberStands:
		return 0, true
	case since < numberLost:
		return fallsBy * (since - numberStands), true
	default:
		return 0, false
	}
}
