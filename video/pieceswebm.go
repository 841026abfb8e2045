package video

import (
	"bufio"
	"fmt"
	"io"
)

// Names of the elements of WebM that are looked into (RFC 9559 section 5.1).
const (
	ebmlSegment  = 0x18538067
	ebmlCluster  = 0x1F43B675
	ebmlTracks   = 0x1654AE6B
	ebmlTrack    = 0xAE
	ebmlVideo    = 0xE0
	ebmlCodec    = 0x86
	ebmlLasts    = 0x23E383
	ebmlWidth    = 0xB0
	ebmlHeight   = 0xBA
	ebmlAlpha    = 0x53C0
	ebmlSimple   = 0xA3
	ebmlGroup    = 0xA0
	ebmlNoLength = -1
)

// readWebM reads elements until the file ends, counting blocks.
func readWebM(r *bufio.Reader) (piece, error) {
	var p piece
	for {
		name, n, err := element(r)
		if err == io.EOF {
			if p.codec == "" {
				return p, io.ErrUnexpectedEOF
			}
			return p, nil
		}
		if err != nil {
			return p, err
		}
		switch name {
		case ebmlSegment, ebmlCluster: // looked into: their elements follow
			continue
		case ebmlSimple, ebmlGroup:
			p.frames++
		case ebmlTracks:
			b, err := whole(r, n)
			if err != nil {
				return p, err
			}
			p.track(child(b, ebmlTrack))
			continue
		}
		if n == ebmlNoLength {
			return p, errNoPiece
		}
		if err := skip(r, n); err != nil {
			return p, err
		}
	}
}

func (p *piece) track(b []byte) {
	v := child(b, ebmlVideo)
	if p.codec = string(child(b, ebmlCodec)); p.codec == "V_VP9" {
		p.codec = "vp9"
	}
	p.size = fmt.Sprintf("%dx%d", whole64(child(v, ebmlWidth)), whole64(child(v, ebmlHeight)))
	p.lasts = float64(whole64(child(b, ebmlLasts))) / 1e9
	p.head = fmt.Sprint(whole64(child(v, ebmlAlpha)))
}

// element reads the name and the length of the next element (RFC 8794 sections 4 and 5);
// io.EOF where there is none.
func element(r io.ByteReader) (name, length int64, err error) {
	if name, _, err = vint(r, 4, true); err != nil {
		return 0, 0, err
	}
	length, all, err := vint(r, 8, false)
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	if all {
		length = ebmlNoLength
	}
	return name, length, err
}

// vint reads a number of up to most bytes, with its mark of length or without; all is true
// where every bit of it is set. io.EOF means that not even its first byte is there.
func vint(r io.ByteReader, most int, mark bool) (v int64, all bool, err error) {
	first, err := r.ReadByte()
	if err != nil {
		return 0, false, io.EOF
	}
	n, bit := 1, byte(0x80)
	for first&bit == 0 {
		if n, bit = n+1, bit>>1; n > most {
			return 0, false, errNoPiece
		}
	}
	v = int64(first)
	if !mark {
		v &= int64(bit) - 1
	}
	all = v == int64(bit)-1
	for range n - 1 {
		c, err := r.ReadByte()
		if err != nil {
			return 0, false, io.ErrUnexpectedEOF
		}
		v, all = v<<8|int64(c), all && c == 0xFF
	}
	return v, all, nil
}

// child returns the content of the first element of this name; nil where there is none.
func child(b []byte, name int64) []byte {
	for len(b) > 0 {
		at := 0
		got, n, err := element(byteAt{b, &at})
		if err != nil || n < 0 || n > int64(len(b)-at) {
			return nil
		}
		if got == name {
			return b[at : at+int(n)]
		}
		b = b[at+int(n):]
	}
	return nil
}

// byteAt reads bytes of a slice and counts them.
type byteAt struct {
	b  []byte
	at *int
}

func (r byteAt) ReadByte() (byte, error) {
	if *r.at >= len(r.b) {
		return 0, io.EOF
	}
	*r.at++
	return r.b[*r.at-1], nil
}

// whole64 is a number as an element keeps it; the first eight bytes of a longer one.
func whole64(b []byte) uint64 {
	var v uint64
	for _, c := range b[:min(len(b), 8)] {
		v = v<<8 | uint64(c)
	}
	return v
}
