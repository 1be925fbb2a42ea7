package progress

import (
	"math"
	"time"
)

// Times is a histogram of answer times in classes that grow by a tenth, so that a
// median is known to within a twentieth however many there are.
type Times struct {
	N     int
	Class [timeClasses]uint32
}

const (
	timeClasses = 96
	timeFrom    = 100 * time.Millisecond
	timeGrowth  = 1.1
)

// Add counts a time.
func (t *Times) Add(took time.Duration) {
	i := 0
	if took > timeFrom {
		i = int(math.Log(float64(took)/float64(timeFrom)) / math.Log(timeGrowth))
	}
	t.Class[min(i, timeClasses-1)]++
	t.N++
}

// Median is the middle time, the centre of its class; 0 for none.
func (t Times) Median() time.Duration {
	if t.N == 0 {
		return 0
	}
	seen := 0
	for i, n := range t.Class {
		if seen += int(n); 2*seen >= t.N {
			return time.Duration(float64(timeFrom) * math.Pow(timeGrowth, float64(i)+0.5))
		}
	}
	return 0
}
