package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
	"testing"
)

// The tables of the WOFF file must be those of the TrueType file, in order.
func TestWOFFHoldsTheSameTables(t *testing.T) {
	be := binary.BigEndian
	for _, f := range Fonts() {
		ttf, woff := f.File(), f.WOFF()
		if string(woff[:4]) != "wOFF" || int(be.Uint32(woff[8:])) != len(woff) {
			t.Fatalf("font %d: the head of the WOFF file is wrong", f)
		}
		n := int(be.Uint16(woff[12:]))
		if n == 0 || n != int(be.Uint16(ttf[4:])) {
			t.Fatalf("font %d: %d tables", f, n)
		}
		for i := range n {
			e := woff[44+20*i:]
			off, packed, length := be.Uint32(e[4:]), be.Uint32(e[8:]), be.Uint32(e[12:])
			data := woff[off : off+packed]
			if packed < length {
				z, err := zlib.NewReader(bytes.NewReader(data))
				if err != nil {
					t.Fatal(err)
				}
				if data, err = io.ReadAll(z); err != nil {
					t.Fatal(err)
				}
			}
			o := ttf[12+16*i:]
			want := ttf[be.Uint32(o[8:]):][:be.Uint32(o[12:])]
			if !bytes.Equal(e[:4], o[:4]) || !bytes.Equal(data, want) {
				t.Errorf("font %d: table %q differs", f, o[:4])
			}
			if off%4 != 0 {
				t.Errorf("font %d: table %q does not start at a multiple of four", f, o[:4])
			}
		}
		if len(woff)*10 > len(ttf)*7 {
			t.Errorf("font %d: the WOFF file has %d bytes of %d", f, len(woff), len(ttf))
		}
	}
}
