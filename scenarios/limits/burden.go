package limits

import (
	"fmt"
	"math"
)

// Again is after how many minutes an alarm sounds again while the rate is still outside:
// the usual length of a silenced pause (common practice).
const Again = 2

// A Burden is what limits do in a stretch of a trend.
type Burden struct {
	Minutes  int
	Alarms   int // that sounded, each repeat counted
	Real     int // of these in a true event, on its side
	Sounding int // minutes outside
	Movement int // alarms from movement alone

	Events int   // true events in the stretch
	Late   []int // minutes from the beginning of each event that was caught to its first alarm
}

// PerHour is alarms an hour.
func (b Burden) PerHour() float64 {
	if b.Minutes == 0 {
		return 0
	}
	return 60 * float64(b.Alarms) / float64(b.Minutes)
}

// RealShare is the share of alarms that are real, NaN without alarms.
func (b Burden) RealShare() float64 { return float64(b.Real) / float64(b.Alarms) }

// Missed is how many true events gave no alarm.
func (b Burden) Missed() int { return b.Events - len(b.Late) }

// Of works out what limits would have done from minute from on. An alarm sounds in a minute
// whose counted rate is below low or above high, and again after every Again minutes as
// long as it stays there without a break.
func Of(d Day, from, low, high int) Burden {
	b := Burden{Minutes: len(d.Minutes) - from}
	caught := make([]bool, len(d.Events))
	outside := 0 // minutes on end, on one side
	wasLow := false
	for i := from; i < len(d.Minutes); i++ {
		m := d.Minutes[i]
		isLow, isHigh := m.Counted < float64(low), m.Counted > float64(high)
		if !isLow && !isHigh {
			outside = 0
			continue
		}
		if outside > 0 && wasLow != isLow {
			outside = 0
		}
		wasLow = isLow
		b.Sounding++
		sounds := outside%Again == 0
		outside++
		if !sounds {
			continue
		}
		b.Alarms++
		isReal := false
		for k, e := range d.Events {
			if i < e.From || i >= e.To || e.Low != isLow || m.Movement {
				continue
			}
			isReal = true
			if !caught[k] {
				caught[k] = true
				b.Late = append(b.Late, i-e.From)
			}
		}
		switch {
		case isReal:
			b.Real++
		case m.Movement:
			b.Movement++
		}
	}
	for _, e := range d.Events {
		if e.From >= from {
			b.Events++
		}
	}
	return b
}

// Baseline is the mean of the minutes of sleep and rest up to a minute, without those moved
// or in rhythm that is not the patient's own (from minute abnormal on); NaN for none.
func Baseline(d Day, upTo, abnormal int) float64 {
	sum, n := 0.0, 0.0
	for i := range min(upTo, abnormal, len(d.Minutes)) {
		if m := d.Minutes[i]; m.Doing.Calm() && !m.Movement {
			sum, n = sum+m.Counted, n+1
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / n
}

// Practice is the limits of common practice for a baseline: 20 % around it, the low one never
// below the ordered floor; as ordered where limits are ordered; with a pacemaker the low
// one 5 below the set rate.
func (c Case) Practice(baseline float64) (low, high int) {
	if c.Low > 0 {
		return c.Low, c.High
	}
	low, high = max(nearest5(0.8*baseline), c.Floor), nearest5(1.2*baseline)
	if c.SetRate > 0 {
		low = c.SetRate - pacedBelow
	}
	return low, high
}

// pacedBelow is how far the low limit lies below a set rate, beats/min: close, so that the
// first beat that is not captured long enough is told (common practice).
const pacedBelow = 5

// Published is what alarms are found to be elsewhere: 187 audible ones a bed and day, 88.8 % of
// arrhythmia alarms false (Drew 2014, PLoS One 9:e110274, read); 87.1 % in children's
// intensive care not actionable (Bonafide 2015, PMC4456276, read).
const (
	PublishedPerHour       = 187.0 / 24
	PublishedNotActionable = 0.871
)

// Words says what limits did.
func (b Burden) Words() []string {
	said := []string{fmt.Sprintf("These limits give %.1f alarms an hour: %d in %d hours, sounding %d minutes.", b.PerHour(), b.Alarms, b.Minutes/60, b.Sounding)}
	switch {
	case b.Alarms == 0:
		said[0] = "These limits never sound, whatever happens: they watch nobody."
	case b.PerHour() > alarmWithoutEnd:
		said[0] += " That sounds all day: nobody hears it any more."
	}
	if b.Alarms > 0 {
		said = append(said, fmt.Sprintf("%d of %d are real (%.0f %%); %d come from movement alone.", b.Real, b.Alarms, 100*b.RealShare(), b.Movement))
	}
	late := "none of the %d true events was caught."
	if n := len(b.Late); n > 0 {
		worst := 0
		for _, m := range b.Late {
			worst = max(worst, m)
		}
		late = fmt.Sprintf("%d of %%d true events caught, the latest after %d min.", n, worst)
	}
	said = append(said, fmt.Sprintf("Of what had to be seen: "+late, b.Events))
	return said
}

// alarmWithoutEnd is how many an hour are without end: more than one in five minutes.
const alarmWithoutEnd = 12
