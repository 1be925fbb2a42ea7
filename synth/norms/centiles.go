package norms

import "telltrace/synth/ecg"

// fleming is the review of 69 studies the centiles come from. Ages end at 18 y.
const fleming = "Fleming 2011, Lancet 377:1011" + seen

// Centiles of a vital sign at one age: the 1st, 10th, 25th, 50th, 75th, 90th and
// 99th, in that order in P.
type Centiles struct {
	P      [7]float64
	Source string
}

// A centileRow is one line of the published curves, at an exact age in days.
type centileRow struct {
	at float64
	p  [7]float64
}

// HeartRateCentiles are the centiles of resting heart rate in beats per minute
// (Fleming 2011). Above 18 y they stay those of 18 y.
func HeartRateCentiles(age ecg.Age) Centiles { return centilesAt(flemingHeart, age) }

// RespiratoryRateCentiles are the centiles of breaths per minute (Fleming 2011).
// Above 18 y they stay those of 18 y.
func RespiratoryRateCentiles(age ecg.Age) Centiles { return centilesAt(flemingBreaths, age) }

// stands is where the row stands, as squared compares it.
func (r *centileRow) stands() float64 { return (1 + r.at) * (1 + r.at) }

// centilesAt interpolates each centile.
func centilesAt(rows []centileRow, age ecg.Age) Centiles {
	x := squared(age)
	i := 0
	for i < len(rows) && rows[i].stands() <= x {
		i++
	}
	a, b := &rows[max(i-1, 0)], &rows[min(i, len(rows)-1)]
	w := share(x, a.stands(), b.stands())
	out := Centiles{Source: fleming}
	for k := range out.P {
		out.P[k] = mix(a.p[k], b.p[k], w)
	}
	return out
}

// spread is the 1st, 50th and 99th centile.
func (c Centiles) spread() Spread {
	return Spread{c.P[0], c.P[3], c.P[6], "1st, 50th, 99th centile, " + c.Source}
}

// beats/min
var flemingHeart = []centileRow{
	{0, [7]float64{90.1, 107.0, 116.4, 127.1, 137.9, 147.5, 164.2}},
	{1 * month, [7]float64{108.0, 124.9, 134.0, 144.5, 155.3, 164.7, 181.7}},
	{2 * month, [7]float64{107.2, 123.8, 133.1, 143.5, 154.4, 163.8, 180.6}},
	{3 * month, [7]float64{106.1, 122.5, 131.7, 142.1, 152.7, 161.9, 178.5}},
	{6 * month, [7]float64{100.9, 117.4, 126.1, 136.7, 146.7, 155.4, 172.0}},
	{9 * month, [7]float64{95.3, 111.3, 119.9, 130.5, 140.1, 148.2, 164.7}},
	{12 * month, [7]float64{91.8, 106.6, 115.6, 125.9, 135.1, 143.2, 158.9}},
	{18 * month, [7]float64{84.8, 100.4, 109.0, 119.3, 128.6, 137.7, 152.6}},
	{2 * year, [7]float64{79.6, 95.3, 103.4, 113.5, 122.7, 131.8, 146.1}},
	{3 * year, [7]float64{72.8, 88.7, 96.5, 106.2, 115.7, 125.0, 138.9}},
	{4 * year, [7]float64{68.5, 84.5, 92.2, 101.7, 111.3, 120.8, 134.4}},
	{5 * year, [7]float64{65.5, 81.2, 89.0, 98.2, 107.9, 117.3, 130.7}},
	{6 * year, [7]float64{62.3, 77.8, 85.6, 94.7, 104.3, 113.9, 126.9}},
	{7 * year, [7]float64{59.1, 74.5, 82.3, 91.3, 100.9, 110.6, 123.4}},
	{8 * year, [7]float64{56.4, 71.7, 79.4, 88.4, 97.9, 107.6, 120.1}},
	{10 * year, [7]float64{52.3, 67.3, 74.9, 83.6, 93.0, 102.6, 114.8}},
	{12 * year, [7]float64{49.1, 64.0, 71.3, 80.0, 89.2, 98.7, 110.8}},
	{14 * year, [7]float64{46.3, 61.2, 68.4, 76.9, 86.1, 95.4, 107.4}},
	{16 * year, [7]float64{43.7, 58.6, 65.7, 74.0, 83.3, 92.4, 104.4}},
	{18 * year, [7]float64{41.3, 56.1, 63.2, 71.5, 80.7, 89.7, 101.8}},
}

// breaths/min
var flemingBreaths = []centileRow{
	{0, [7]float64{25.6, 35.0, 40.5, 44.1, 52.7, 58.2, 67.7}},
	{1 * month, [7]float64{25.2, 34.5, 40.0, 43.4, 52.0, 57.5, 66.8}},
	{2 * month, [7]float64{24.8, 34.0, 39.4, 42.8, 51.3, 56.7, 65.9}},
	{3 * month, [7]float64{24.5, 33.6, 38.9, 42.1, 50.6, 55.9, 65.0}},
	{6 * month, [7]float64{23.4, 32.2, 37.3, 40.1, 48.5, 53.6, 62.3}},
	{9 * month, [7]float64{22.5, 30.8, 35.7, 38.3, 46.4, 51.2, 59.5}},
	{12 * month, [7]float64{21.7, 29.5, 34.1, 36.6, 44.2, 48.7, 56.6}},
	{18 * month, [7]float64{19.8, 26.4, 30.3, 33.1, 38.9, 42.8, 49.4}},
	{2 * year, [7]float64{18.2, 23.6, 26.8, 29.8, 33.8, 37.0, 42.5}},
	{3 * year, [7]float64{17.1, 21.2, 23.5, 26.1, 28.7, 31.1, 35.1}},
	{4 * year, [7]float64{17.1, 20.3, 22.1, 24.2, 26.3, 28.1, 31.3}},
	{5 * year, [7]float64{16.8, 19.6, 21.2, 22.9, 24.7, 26.3, 29.1}},
	{6 * year, [7]float64{16.2, 18.8, 20.3, 21.9, 23.6, 25.1, 27.7}},
	{7 * year, [7]float64{15.5, 18.0, 19.5, 21.1, 22.7, 24.1, 26.6}},
	{8 * year, [7]float64{14.9, 17.4, 18.8, 20.4, 21.9, 23.4, 25.8}},
	{10 * year, [7]float64{13.8, 16.2, 17.7, 19.2, 20.8, 22.3, 24.7}},
	{12 * year, [7]float64{12.7, 15.3, 16.8, 18.5, 20.1, 21.6, 24.2}},
	{14 * year, [7]float64{11.9, 14.4, 15.9, 17.5, 19.1, 20.6, 23.1}},
	{16 * year, [7]float64{10.7, 13.2, 14.7, 16.3, 18.0, 19.4, 21.9}},
	{18 * year, [7]float64{10.2, 12.5, 13.9, 15.4, 16.9, 18.3, 20.6}},
}
