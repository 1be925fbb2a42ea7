// Package record turns recorded ECG files into an [ecg.Record], or into a stream
// of samples, and back. Start with [Open] for a stream of any length in constant
// memory, [ReadSegment] for a strip, [Formats] for what is understood.
//
// # WFDB
//
// A record is a text header (.hea), one or more signal files (.dat, .mat), and
// any number of annotation files named by their annotator (.atr is the reference
// one). Source: WFDB file formats, PhysioNet: header(5), signal(5), annot(5),
// published as open formats. Read are signal formats 8, 16, 24, 32, 61, 80, 160,
// 212, 310 and 311, byte offsets, skew, several samples per frame, and
// multi-segment records of fixed and variable layout. Written are formats 16, 80 and
// 212, and MIT annotations. Digital values are turned into physical units by
//
//	physical = (digital - baseline) / gain
//
// with gain 200 and unit mV where the header names none, as header(5) says. A gain of
// 0, "uncalibrated", is refused: it would show a height that nobody has vouched for.
//
// # EDF and EDF+
//
// One file with a header of fixed-width text, then data records of 16-bit
// samples; in EDF+ one signal holds annotations. Source: Kemp et al., A simple
// format for exchange of digitized polygraphic recordings, Electroenceph Clin
// Neurophysiol 1992;82:391, and Kemp and Olivan, European data format plus, Clin
// Neurophysiol 2003;114:1755.
//
// # CSV
//
// A first line of names, of which the first is time_s (seconds); then one line
// per sample, one column per lead in mV, an empty cell where there is no valid
// sample. The sampling rate follows from the time column.
//
// # What comes out
//
// Channels measured in volts become leads in mV, unless their name says that they
// are something else; the rest are witnesses in their own unit. Invalid samples
// are NaN. Signals slower than the fastest one are held, not interpolated. Names
// and texts are stripped of control characters, so that a file cannot talk to the
// terminal. No number in a file makes the reader allocate more than a fixed
// amount, and errors are of type [*Error].
package record
