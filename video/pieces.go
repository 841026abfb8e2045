package video

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
)

// piece is what Join must know of a clip. It is read here and not by a tool, since starting
// one costs more than joining; the clips are of our own writing.
type piece struct {
	frames int
	// lasts is how long a frame does, in seconds; head is what a decoder must know before
	// the first one.
	lasts             float64
	codec, size, head string
}

// fit counts the frames of every piece and refuses pieces that are not of one kind.
func fit(pieces []string, s Spec) ([]int, error) {
	counts := make([]int, len(pieces))
	known := map[string]piece{}
	for i, name := range pieces {
		p, ok := known[name]
		if !ok {
			var err error
			if p, err = pieceOf(name); err != nil {
				return nil, err
			}
			known[name] = p
		}
		if what := p.unlike(s, known[pieces[0]]); what != "" {
			return nil, ErrNotWritten.with("the piece "+what, "render the pieces again in one form").on(name, nil)
		}
		counts[i] = p.frames
	}
	return counts, nil
}

// unlike says in what a piece is not of this spec or not like the first piece; "" where it
// fits.
func (p piece) unlike(s Spec, first piece) string {
	codec := map[Format]string{FormatMP4: "h264", FormatProRes: "prores"}[s.Format]
	if codec == "" {
		codec = "vp9"
	}
	size := fmt.Sprintf("%dx%d", s.Width, s.Height)
	switch {
	case p.frames == 0:
		return "has no frames"
	case p.codec != codec:
		return "is not " + s.Format.String() + " but " + strconv.Quote(p.codec)
	case p.size != size:
		return "has " + p.size + " pixels, not " + size
	case !(math.Abs(p.lasts-s.seconds(1)) <= sameTime):
		return fmt.Sprintf("has a frame every %.6f s, not every %.6f s", p.lasts, s.seconds(1))
	case p.head != first.head:
		return "was encoded in another way than the first one"
	}
	return ""
}

// pieceOf examines one clip.
func pieceOf(path string) (piece, error) {
	if _, err := look(path); err != nil {
		return piece{}, err
	}
	f, err := os.Open(path)
	if err != nil {
		return piece{}, ErrNoAccess.on(path, err)
	}
	defer f.Close()
	p, err := readPiece(f)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return p, ErrTruncated.on(path, err)
	case err != nil:
		return p, ErrNotVideo.on(path, err)
	}
	return p, nil
}

// errNoPiece says that a file is not one that a Writer made.
var errNoPiece = errors.New("video: not a clip of one picture track")

// readPiece reads a clip in MP4, MOV or WebM. The error is io.ErrUnexpectedEOF where the
// file ends before its content.
func readPiece(f io.Reader) (piece, error) {
	r := bufio.NewReaderSize(f, 64<<10)
	switch head, _ := r.Peek(8); {
	case bytes.HasPrefix(head, []byte{0x1A, 0x45, 0xDF, 0xA3}):
		return readWebM(r)
	case len(head) == 8 && string(head[4:]) == "ftyp":
		return readMovie(r)
	}
	return piece{}, errNoPiece
}

// skip drops n bytes.
func skip(r *bufio.Reader, n int64) error {
	for n > 0 {
		k, err := r.Discard(int(min(n, 1<<30)))
		if n -= int64(k); err != nil {
			return io.ErrUnexpectedEOF
		}
	}
	return nil
}

// mostHead is how long the table of contents of a piece may be.
const mostHead = 64 << 20

// whole reads n bytes.
func whole(r *bufio.Reader, n int64) ([]byte, error) {
	if n > mostHead {
		return nil, errNoPiece
	}
	var b bytes.Buffer // grows with what is there, whatever the file says
	if k, err := io.CopyN(&b, r, n); k < n {
		return nil, errors.Join(io.ErrUnexpectedEOF, err)
	}
	return b.Bytes(), nil
}

// readMovie reads boxes (ISO/IEC 14496-12 section 4.2) until the file ends.
func readMovie(r *bufio.Reader) (piece, error) {
	var p piece
	found := false
	for {
		var h [16]byte
		if _, err := io.ReadFull(r, h[:8]); err == io.EOF {
			break
		} else if err != nil {
			return p, io.ErrUnexpectedEOF
		}
		n := int64(binary.BigEndian.Uint32(h[:])) - 8
		if n == 1-8 { // a long box
			if _, err := io.ReadFull(r, h[8:]); err != nil {
				return p, io.ErrUnexpectedEOF
			}
			n = int64(binary.BigEndian.Uint64(h[8:])) - 16
		}
		if n < 0 {
			return p, errNoPiece
		}
		if string(h[4:8]) != "moov" {
			if err := skip(r, n); err != nil {
				return p, err
			}
			continue
		}
		b, err := whole(r, n)
		if err != nil {
			return p, err
		}
		if p, found = movieTrack(b); !found {
			return p, errNoPiece
		}
	}
	if !found {
		return p, io.ErrUnexpectedEOF
	}
	return p, nil
}

// box returns the content of the first box of this name; nil where there is none.
func box(b []byte, name string) []byte {
	for len(b) >= 8 {
		n := int(binary.BigEndian.Uint32(b))
		if n < 8 || n > len(b) {
			return nil
		}
		if string(b[4:8]) == name {
			return b[8:n]
		}
		b = b[n:]
	}
	return nil
}

// movieTrack reads the one track of a piece (ISO/IEC 14496-12 sections 8.4.2, 8.5.2, 8.6.1.2
// and 8.7.3).
func movieTrack(moov []byte) (piece, bool) {
	media := box(box(moov, "trak"), "mdia")
	table := box(box(media, "minf"), "stbl")
	clock, sizes, times, entry := box(media, "mdhd"), box(table, "stsz"), box(table, "stts"), box(table, "stsd")
	const visual = 78 // bytes of a visual sample entry before its boxes
	if len(clock) < 16 || clock[0] != 0 || len(sizes) < 12 || len(times) < 16 || len(entry) < 16+visual {
		return piece{}, false
	}
	entry = entry[8:]
	p := piece{frames: int(binary.BigEndian.Uint32(sizes[8:])), codec: string(entry[4:8])}
	switch p.codec {
	case "avc1":
		p.codec = "h264"
	case "ap4h":
		p.codec = "prores"
	}
	p.lasts = float64(binary.BigEndian.Uint32(times[12:])) / float64(binary.BigEndian.Uint32(clock[12:]))
	p.size = fmt.Sprintf("%dx%d", binary.BigEndian.Uint16(entry[8+24:]), binary.BigEndian.Uint16(entry[8+26:]))
	p.head = string(box(entry[8+visual:], "avcC")) + string(box(entry[8+visual:], "colr"))
	return p, true
}
