package record

import (
	"io"
	"math"
	"os"
)

// blockSamples is how many output samples are decoded at a time, all channels
// together.
const blockSamples = 1 << 15

// maxBlockValues bounds one frame of output (32 MB).
const maxBlockValues = 1 << 22

// A slot is one signal's place in the frames of a file, and how its digital
// values become physical ones.
type slot struct {
	row       int // of the output; -1 when it is skipped
	perFrame  int
	skew      int // frames by which the signal lies later in the file
	gain      float64
	baseline  float64
	low, high int32 // values outside are invalid
	initial   int32 // start of format 8
}

// A group is the signals that share one file, multiplexed frame by frame.
type group struct {
	path   string
	file   *os.File
	codec  codec
	offset int64
	slots  []slot
	frame  int // samples in one frame
	raw    []byte
	digits []int32
	sums   []int32 // running sums of format 8, valid at frame at
	at     int
}

// A frameDecoder reads a record whose files are sequences of frames: plain WFDB
// and EDF.
type frameDecoder struct {
	groups   []*group
	frames   int
	perFrame int // output samples per frame
	rows     [][]float64
	missing  []int // rows that no group fills
	step     int   // frames per block
}

// tooWide refuses files that would need more memory for one frame of output than
// the largest real ones: a single fast signal makes all others as long.
func tooWide(path string, rows, perFrame int) error {
	if rows*perFrame <= maxBlockValues {
		return nil
	}
	return bad(path, 0, "samples per frame", "%d in each of %d signals are more than can be held", perFrame, rows)
}

func newFrameDecoder(groups []*group, frames, rows, perFrame int) *frameDecoder {
	d := &frameDecoder{groups: groups, frames: frames, perFrame: perFrame, rows: make([][]float64, rows)}
	widest := rows * perFrame
	for _, g := range groups {
		g.frame = 0
		for _, s := range g.slots {
			g.frame += s.perFrame
			d.step = max(d.step, s.skew) // else a skewed file would be decoded over and over
		}
		g.sums = make([]int32, len(g.slots))
		g.at = -1
		widest = max(widest, g.frame)
	}
	d.step = max(1, min(max(d.step, blockSamples/widest), maxBlockValues/max(1, rows*perFrame)))
	return d
}

func (d *frameDecoder) close() error {
	var first error
	for _, g := range d.groups {
		if err := g.file.Close(); err != nil && first == nil {
			first = err
		}
	}
	return first
}

// block decodes from the frame that holds pos. Files are read at the position
// that is asked for, so reading on and seeking are the same.
func (d *frameDecoder) block(pos int) ([][]float64, int, error) {
	from := pos / d.perFrame
	if from >= d.frames {
		return nil, 0, io.EOF
	}
	n := min(d.step, d.frames-from)
	for i := range d.rows {
		if cap(d.rows[i]) < n*d.perFrame {
			d.rows[i] = make([]float64, n*d.perFrame)
		}
		d.rows[i] = d.rows[i][:n*d.perFrame]
	}
	for _, i := range d.missing {
		for k := range d.rows[i] {
			d.rows[i][k] = math.NaN()
		}
	}
	for _, g := range d.groups {
		if err := g.fill(d, from, n); err != nil {
			return nil, 0, err
		}
	}
	return d.rows, from * d.perFrame, nil
}

// fill writes the group's rows for n frames.
func (g *group) fill(d *frameDecoder, from, n int) error {
	skew := 0
	for _, s := range g.slots {
		skew = max(skew, s.skew)
	}
	have := min(n+skew, d.frames-from)
	digits, err := g.read(from, have)
	if err != nil {
		return err
	}
	at := 0
	for _, s := range g.slots {
		if s.row >= 0 {
			s.convert(d.rows[s.row], digits, at, g.frame, have, d.perFrame)
		}
		at += s.perFrame
	}
	return nil
}

// convert writes one row: perFrame samples for each frame, of which digits holds
// have, the slot's own at offset at. A slower signal is held.
func (s *slot) convert(row []float64, digits []int32, at, frame, have, perFrame int) {
	for k := 0; k < len(row); k += perFrame {
		f := k/perFrame + s.skew
		if f >= have {
			for j := range perFrame {
				row[k+j] = math.NaN()
			}
			continue
		}
		values := digits[f*frame+at:][:s.perFrame]
		if perFrame == 1 {
			row[k] = s.physical(values[0])
			continue
		}
		for j := range perFrame {
			row[k+j] = s.physical(values[j*s.perFrame/perFrame])
		}
	}
}

// physical turns a digital value into its unit, NaN when it is invalid.
func (s *slot) physical(v int32) float64 {
	if v < s.low || v > s.high {
		return math.NaN()
	}
	return (float64(v) - s.baseline) / s.gain
}

// read returns the digital values of n frames, as multiplexed in the file.
func (g *group) read(from, n int) ([]int32, error) {
	if !g.codec.differential {
		return g.unpack(from, n)
	}
	if g.at < 0 || from < g.at {
		g.at = 0
		for i, s := range g.slots {
			g.sums[i] = s.initial
		}
	}
	for step := max(1, blockSamples/g.frame); g.at < from; {
		if _, err := g.accumulate(min(step, from-g.at)); err != nil {
			return nil, err
		}
	}
	return g.accumulate(n)
}

// accumulate turns the differences of the next n frames into values.
func (g *group) accumulate(n int) ([]int32, error) {
	digits, err := g.unpack(g.at, n)
	if err != nil {
		return nil, err
	}
	for k := 0; k < len(digits); k += g.frame {
		at := k
		for i, s := range g.slots {
			for j := range s.perFrame {
				g.sums[i] += digits[at+j]
				digits[at+j] = g.sums[i]
			}
			at += s.perFrame
		}
	}
	g.at += n
	return digits, nil
}

// unpack reads n frames and unpacks them. Packed groups pay no heed to frames, so
// the first and last group may belong to neighbours in part.
func (g *group) unpack(from, n int) ([]int32, error) {
	c := g.codec
	first := from * g.frame
	lead := first % c.samples // samples of the first packed group before ours
	packed := (lead + n*g.frame + c.samples - 1) / c.samples
	if cap(g.raw) < packed*c.bytes {
		g.raw, g.digits = make([]byte, packed*c.bytes), make([]int32, packed*c.samples)
	}
	raw, digits := g.raw[:packed*c.bytes], g.digits[:packed*c.samples]
	got, err := g.file.ReadAt(raw, g.offset+int64(first/c.samples)*int64(c.bytes))
	if err != nil && err != io.EOF {
		return nil, unreadable(g.path, "samples", err)
	}
	clear(raw[got:]) // an incomplete last group
	if held := c.held(int64(got)) - int64(lead); held < int64(n*g.frame) {
		return nil, bad(g.path, 0, "samples", "the file ends at frame %d while it is being read", from+max(0, int(held))/g.frame)
	}
	c.unpack(digits, raw)
	return digits[lead:][:n*g.frame], nil
}

// size is how many whole frames the group's file holds.
func (g *group) size() (int, error) {
	info, err := g.file.Stat()
	if err != nil {
		return 0, unreadable(g.path, "samples", err)
	}
	if !info.Mode().IsRegular() {
		return 0, bad(g.path, 0, "samples", "is not a file of samples")
	}
	return int(max(0, g.codec.held(info.Size()-g.offset))) / g.frame, nil
}

// A stretch is one piece of a recording that was made, or is stored, in pieces.
type stretch struct {
	name  string
	start int // first output sample
	n     int // output samples
	open  func() (decoder, error)
	skip  int // samples of the opened decoder before the stretch
}

// stretchDecoder reads stretches one after the other and leaves NaN between them.
type stretchDecoder struct {
	list    []stretch // in time order, not overlapping
	end     int
	current int // index of the open stretch, -1 for none
	dec     decoder
	rows    [][]float64
	view    [][]float64
}

func newStretchDecoder(list []stretch, end, rows int) *stretchDecoder {
	return &stretchDecoder{list: list, end: end, current: -1,
		rows: make([][]float64, rows), view: make([][]float64, rows)}
}

func (d *stretchDecoder) close() error {
	if d.dec == nil {
		return nil
	}
	dec := d.dec
	d.dec, d.current = nil, -1
	return dec.close()
}

// block answers from the stretch or the gap that holds pos.
func (d *stretchDecoder) block(pos int) ([][]float64, int, error) {
	if pos >= d.end {
		return nil, 0, io.EOF
	}
	i := after(d.list, pos)
	if i == 0 || pos >= d.list[i-1].start+d.list[i-1].n {
		until := d.end
		if i < len(d.list) {
			until = d.list[i].start
		}
		return d.gap(min(until-pos, 4096)), pos, nil
	}
	s := d.list[i-1]
	if d.current != i-1 {
		if err := d.close(); err != nil {
			return nil, 0, unreadable(s.name, "segment", err)
		}
		dec, err := s.open()
		if err != nil {
			return nil, 0, err
		}
		d.dec, d.current = dec, i-1
	}
	rows, first, err := d.dec.block(pos - s.start + s.skip)
	if err == io.EOF {
		return nil, 0, bad(s.name, 0, "samples", "ends before its %d samples are read", s.n)
	}
	if err != nil {
		return nil, 0, err
	}
	// Trim to the stretch: a decoder that is shared goes on beyond it.
	begin := max(0, s.skip-first)
	stop := min(len(rows[0]), s.skip+s.n-first)
	for k := range rows {
		d.view[k] = rows[k][begin:stop]
	}
	return d.view, first + begin - s.skip + s.start, nil
}

// after is the index of the first stretch that starts after pos.
func after(list []stretch, pos int) int {
	low, high := 0, len(list)
	for low < high {
		if mid := (low + high) / 2; list[mid].start <= pos {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}

// gap is n samples of nothing.
func (d *stretchDecoder) gap(n int) [][]float64 {
	for i := range d.rows {
		if cap(d.rows[i]) < n {
			d.rows[i] = make([]float64, 4096)
		}
		d.rows[i] = d.rows[i][:n]
		for k := range d.rows[i] {
			d.rows[i][k] = math.NaN()
		}
	}
	return d.rows
}

// promise compares what a header promises with what the file holds.
func promise(path string, promised, held int) error {
	if held >= promised {
		return nil
	}
	return bad(path, 0, "number of samples",
		"the header promises %d per signal, the file holds %d: it was cut short, or the header is wrong", promised, held)
}
