package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
)

// WOFF returns the font as a WOFF 1.0 file (W3C Recommendation of 13 December
// 2012), which browsers read and which is about half as long as the TrueType
// file: the same tables, each compressed where that is shorter.
func (f Font) WOFF() []byte {
	const (
		headLen, entryLen         = 44, 20
		sfntHeadLen, sfntEntryLen = 12, 16
	)
	ttf := f.File()
	be := binary.BigEndian
	n := int(be.Uint16(ttf[4:]))
	var dir, data bytes.Buffer
	start := headLen + entryLen*n
	for i := range n {
		e := ttf[sfntHeadLen+sfntEntryLen*i:]
		tag, sum, offset, length := e[:4], be.Uint32(e[4:]), be.Uint32(e[8:]), be.Uint32(e[12:])
		table := ttf[offset : offset+length]
		var packed bytes.Buffer
		z, err := zlib.NewWriterLevel(&packed, zlib.BestCompression)
		if err != nil {
			panic("draw: " + err.Error())
		}
		z.Write(table)
		z.Close()
		stored := packed.Bytes()
		if len(stored) >= len(table) {
			stored = table
		}
		dir.Write(tag)
		for _, v := range []uint32{uint32(start + data.Len()), uint32(len(stored)), length, sum} {
			dir.Write(be.AppendUint32(nil, v))
		}
		data.Write(stored)
		data.Write(make([]byte, (4-len(stored)%4)%4))
	}
	sfntLen := sfntHeadLen + sfntEntryLen*n
	for i := range n {
		length := int(be.Uint32(ttf[sfntHeadLen+sfntEntryLen*i+12:]))
		sfntLen += (length + 3) &^ 3
	}
	out := []byte("wOFF")
	out = append(out, ttf[:4]...)
	out = be.AppendUint32(out, uint32(start+data.Len()))
	out = be.AppendUint16(out, uint16(n))
	out = be.AppendUint16(out, 0)
	out = be.AppendUint32(out, uint32(sfntLen))
	out = be.AppendUint32(out, 1<<16)       // version 1.0
	out = append(out, make([]byte, 5*4)...) // no metadata, no private data
	return append(append(out, dir.Bytes()...), data.Bytes()...)
}
