package video

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"mesure/sport/mark"
)

// errElsewhere says that a decoder came out on another frame than it should.
var errElsewhere = errors.New("video: the decoder came out on another frame")

// detailOf returns what is known of the file behind a clip, and checks that the
// clip is of this file.
func (e *engine) detailOf(ctx context.Context, path string, clip mark.Clip) (*detail, error) {
	d, err := e.known(ctx, path)
	if err != nil {
		return nil, err
	}
	if w, h := d.shown(); w != clip.Width || h != clip.Height || d.rotation != clip.Rotation {
		return nil, ErrChanged.on(path, nil)
	}
	return d, nil
}

// checkRange refuses frames that the clip does not have.
func checkRange(path string, clip mark.Clip, from, to mark.Frame) error {
	for _, f := range []mark.Frame{from, to} {
		if !clip.Has(f) {
			return ErrNoFrame.with(
				fmt.Sprintf("there is no frame %d", f),
				fmt.Sprintf("the video has %d frames, from 0 to %d", clip.Frames(), clip.Frames()-1)).on(path, nil)
		}
	}
	if from > to {
		return ErrNoFrame.with(fmt.Sprintf("frame %d does not come after frame %d", to, from),
			"give the earlier frame first").on(path, nil)
	}
	return nil
}

// way is how a decoder gets to the first frame that is wanted.
type way int

const (
	// bySeek jumps to the key frame before it.
	bySeek way = iota
	// byWideSeek jumps to some seconds before and drops what is earlier: for
	// formats whose index does not know the key frames.
	byWideSeek
	// byTime decodes from the start and drops what is earlier.
	byTime
	// byNumber decodes from the start and counts: for files without usable time
	// stamps.
	byNumber
)

// Frames decodes the frames from and to and all between. It seeks to the middle
// between two time stamps, which cannot be rounded onto the wrong frame, and
// checks the time stamp of every frame that comes out; where a file seeks badly,
// it is decoded from its start. A frame that is damaged beyond decoding is left
// out: the numbers of the others stay right. Of a clip that is split, the frames
// are fields.
func (e *engine) Frames(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, fn func(Frame) error) error {
	if err := checkRange(path, clip, from, to); err != nil {
		return err
	}
	if clip.Fields {
		return e.fields(ctx, path, clip, from, to, fn)
	}
	d, err := e.detailOf(ctx, path, clip)
	if err != nil {
		return err
	}
	return e.run(ctx, path, clip, d, d.whole(), from, to, fn)
}

// run decodes frames in one view of them, on the quickest way that works.
func (e *engine) run(ctx context.Context, path string, clip mark.Clip, d *detail, v view, from, to mark.Frame, fn func(Frame) error) (err error) {
	for _, w := range waysTo(clip, d, from) {
		next, stepErr := e.decode(ctx, path, clip, d, v, from, to, w, fn)
		if err = stepErr; !errors.Is(err, errElsewhere) {
			return err
		}
		from = next // what fn already got is not decoded again
	}
	return ErrDamaged.with(fmt.Sprintf("frame %d cannot be decoded", from), ErrDamaged.Mend).on(path, err)
}

// waysTo lists the ways to a frame, the quickest first.
func waysTo(clip mark.Clip, d *detail, from mark.Frame) []way {
	if d.raw() || d.gaps && counted(clip, d) {
		return []way{byNumber}
	}
	var ways []way
	if from > 0 && clip.Times[from]-clip.Times[from-1] > 2*sameTime {
		if !strings.HasPrefix(d.format, "mpeg") {
			ways = append(ways, bySeek)
		}
		ways = append(ways, byWideSeek)
	}
	ways = append(ways, byTime)
	if counted(clip, d) {
		ways = append(ways, byNumber)
	}
	return ways
}

// wideSeek is how far before the wanted frame byWideSeek jumps, in seconds: more
// than the distance of key frames in broadcast and camera streams (common
// practice, no source).
const wideSeek = 5.0

// counted reports whether the times of a clip are those that Probe gives to
// frames without usable time stamps.
func counted(clip mark.Clip, d *detail) bool {
	for _, r := range d.rates() {
		same := true
		for i, t := range clip.Times {
			if float64(t) != seconds(int64(i), r[1], r[0]) {
				same = false
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}

// A long run decodes with more threads than there are cores: while one waits for
// the pipe another works. It pays from about a hundred frames on, since every
// thread holds a frame back before the first one comes. Measured on two cores at
// 720p: 1.69 s with six threads, 1.76 s with the tool's own choice.
const (
	manyFrames     = 100
	threadsPerCore = 3
)

// decode runs one decoder and returns the first frame that fn has not got.
func (e *engine) decode(ctx context.Context, path string, clip mark.Clip, d *detail, v view, from, to mark.Frame, w way, fn func(Frame) error) (next mark.Frame, err error) {
	args := decodeArgs()
	if int(to-from) >= manyFrames {
		args = slices.Insert(args, len(args)-1, "-threads", strconv.Itoa(threadsPerCore*runtime.NumCPU()))
	}
	filter := ""
	if from > 0 {
		middle := float64(clip.Times[from-1]+clip.Times[from]) / 2
		switch w {
		case bySeek: // counts from the start time of the file
			args = append(args[:len(args)-1], "-ss", decimal(middle-d.start), "-i")
		case byWideSeek:
			if at := middle - d.start - wideSeek; at > 0 {
				args = append(args[:len(args)-1], "-ss", decimal(at), "-i")
			}
			filter = `select=gte(t\,` + decimal(middle) + "),"
		case byTime:
			filter = `select=gte(t\,` + decimal(middle) + "),"
		case byNumber:
			filter = `select=gte(n\,` + strconv.Itoa(int(from)) + "),"
		}
	}
	filter += "showinfo=checksum=0" + v.filter
	args = append(args, inputHere, "-map", "0:"+picture, "-fps_mode", "passthrough", "-vf", filter,
		"-frames:v", strconv.Itoa(int(to-from)+1), // Frames are written in one piece: that saves a copy of each.
		"-f", "rawvideo", "-avioflags", "direct", "-pix_fmt", d.pixelFormat(), "-")
	p, err := e.start(ctx, job{tool: ffmpegTool, args: args, input: path})
	if err != nil {
		return from, err
	}
	s := stream{p: p, d: d, view: v, clip: clip, next: from, to: to, way: w}
	err = s.run(fn)
	if err != nil || !s.whole {
		p.stop()
	}
	ended := p.wait()
	switch {
	case ctx.Err() != nil:
		return s.next, ctx.Err()
	case err == nil:
		return s.next, nil
	case !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return s.next, err
	}
	// The tool ended before the last frame.
	said := p.log.complaints()
	if failed(ended) {
		return s.next, ErrEngine.on(path, lastError(said, ended))
	}
	if s.next == from && w != byNumber {
		return s.next, errElsewhere
	}
	if len(said) > 0 {
		return s.next, judge(path, said, nil)
	}
	return s.next, ErrDamaged.with(fmt.Sprintf("the video stops decoding before frame %d", s.next), ErrDamaged.Mend).on(path, nil)
}

// decimal writes seconds to a tenth of a microsecond.
func decimal(seconds float64) string { return strconv.FormatFloat(seconds, 'f', 7, 64) }
