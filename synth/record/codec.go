package record

import (
	"encoding/binary"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// A codec unpacks one signal format of signal(5). Samples are packed in groups:
// format 212 has two in three bytes. A differential format stores first
// differences instead of values.
type codec struct {
	samples, bytes int         // in one group
	partial        []int       // bytes that k = 1, 2 … samples of a last, incomplete group take
	invalid        int32       // the value that stands for "no valid sample"
	hasInvalid     bool        // whether there is one
	differential   bool        // format 8
	unpack         unpackGroup // nil only for the zero codec
}

// unpackGroup writes whole groups: len(dst) is a multiple of the group's samples
// and src holds as many groups.
type unpackGroup func(dst []int32, src []byte)

// codecs are the signal formats by number. The invalid values are the lowest of
// each range.
var codecs = map[int]codec{
	8:   {samples: 1, bytes: 1, differential: true, unpack: unpack8},
	16:  {samples: 1, bytes: 2, invalid: -1 << 15, hasInvalid: true, unpack: unpack16},
	24:  {samples: 1, bytes: 3, invalid: -1 << 23, hasInvalid: true, unpack: unpack24},
	32:  {samples: 1, bytes: 4, invalid: -1 << 31, hasInvalid: true, unpack: unpack32},
	61:  {samples: 1, bytes: 2, invalid: -1 << 15, hasInvalid: true, unpack: unpack61},
	80:  {samples: 1, bytes: 1, invalid: -1 << 7, hasInvalid: true, unpack: unpack80},
	160: {samples: 1, bytes: 2, invalid: -1 << 15, hasInvalid: true, unpack: unpack160},
	212: {samples: 2, bytes: 3, partial: []int{2}, invalid: -1 << 11, hasInvalid: true, unpack: unpack212},
	310: {samples: 3, bytes: 4, partial: []int{2, 4}, invalid: -1 << 9, hasInvalid: true, unpack: unpack310},
	311: {samples: 3, bytes: 4, partial: []int{2, 3}, invalid: -1 << 9, hasInvalid: true, unpack: unpack311},
}

func knownCodecs() string {
	var words []string
	for _, n := range slices.Sorted(maps.Keys(codecs)) {
		words = append(words, fmt.Sprint(n))
	}
	return strings.Join(words, ", ")
}

// held is how many samples lie in size bytes.
func (c codec) held(size int64) int64 {
	n := size / int64(c.bytes) * int64(c.samples)
	rest := int(size % int64(c.bytes))
	for k, need := range c.partial {
		if rest >= need {
			return n + int64(k) + 1
		}
	}
	return n
}

func unpack8(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(int8(src[i]))
	}
}

func unpack16(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(int16(binary.LittleEndian.Uint16(src[2*i:])))
	}
}

func unpack24(dst []int32, src []byte) {
	for i := range dst {
		b := src[3*i : 3*i+3]
		dst[i] = int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24) >> 8
	}
}

func unpack32(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(binary.LittleEndian.Uint32(src[4*i:]))
	}
}

func unpack61(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(int16(binary.BigEndian.Uint16(src[2*i:])))
	}
}

func unpack80(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(src[i]) - 1<<7
	}
}

func unpack160(dst []int32, src []byte) {
	for i := range dst {
		dst[i] = int32(binary.LittleEndian.Uint16(src[2*i:])) - 1<<15
	}
}

// unpack212: the second byte holds the high four bits of the first sample (low
// half) and of the second (high half).
func unpack212(dst []int32, src []byte) {
	for i := 0; i+1 < len(dst); i += 2 {
		b := src[i/2*3 : i/2*3+3]
		dst[i] = signed(uint32(b[0])|uint32(b[1]&0x0f)<<8, 12)
		dst[i+1] = signed(uint32(b[2])|uint32(b[1]&0xf0)<<4, 12)
	}
}

// unpack310: two 16-bit words; bits 1 to 10 of each are a sample, the top five
// bits of both together the third.
func unpack310(dst []int32, src []byte) {
	for i := 0; i+2 < len(dst); i += 3 {
		a := uint32(binary.LittleEndian.Uint16(src[i/3*4:]))
		b := uint32(binary.LittleEndian.Uint16(src[i/3*4+2:]))
		dst[i] = signed(a>>1, 10)
		dst[i+1] = signed(b>>1, 10)
		dst[i+2] = signed(a>>11|b>>11<<5, 10)
	}
}

// unpack311: three samples in one 32-bit word, the first lowest.
func unpack311(dst []int32, src []byte) {
	for i := 0; i+2 < len(dst); i += 3 {
		w := binary.LittleEndian.Uint32(src[i/3*4:])
		dst[i] = signed(w, 10)
		dst[i+1] = signed(w>>10, 10)
		dst[i+2] = signed(w>>20, 10)
	}
}

// signed reads the low bits of w as a two's complement number.
func signed(w uint32, bits uint) int32 { return int32(w<<(32-bits)) >> (32 - bits) }
