package dipole

import "math"

// powers are those of 2 in steps of 1/64.
var powers = func() (t [64]float64) {
	for i := range t {
		t[i] = math.Exp2(float64(i) / 64)
	}
	return t
}()

// exp is math.Exp within a part in 10^13, in less than half the time, for |x| below
// 300: a power from the table, and a polynomial for the little that is left.
func exp(x float64) float64 {
	const steps = 64 / math.Ln2
	const shift = 3 << 51 // a number so large that what is added to it is rounded to a whole one, in its lowest bits
	n := x*steps + shift
	r := x - (n-shift)*(1/steps)
	p := 1 + r + r*r*(1.0/2+r*(1.0/6)+r*r*(1.0/24))
	whole := math.Float64bits(n)
	return math.Float64frombits(math.Float64bits(powers[whole&63]*p) + whole>>6<<52)
}
