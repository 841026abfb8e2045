package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Spec says what clip to write.
type Spec struct {
	// Width and Height in pixels, both even.
	Width, Height int
	// Frames a second: Rate/PerSeconds; PerSeconds 0 means 1. NTSC is 30000/1001.
	Rate, PerSeconds int
	// Format is FormatMP4 where it is not set.
	Format Format
	// Quality is x264's constant rate factor, 1 to 51, smaller is better; 0 means
	// DefaultQuality. VP9 takes what looks alike; ProRes has no such choice.
	Quality int
	// Preset is x264's name for how much work to do; empty means what suits the
	// engine. The other formats do not have it.
	Preset string
	// KeyEvery is the greatest distance of two key frames; 0 means one second, so
	// that the clip can be stepped quickly.
	KeyEvery int
}

// DefaultQuality is a rate factor at which no loss is seen at normal viewing
// distance (common practice, no source).
const DefaultQuality = 18

func (s Spec) withDefaults(preset string) Spec {
	if s.PerSeconds == 0 {
		s.PerSeconds = 1
	}
	if s.Quality == 0 {
		s.Quality = DefaultQuality
	}
	if s.Preset == "" {
		s.Preset = preset
	}
	if s.KeyEvery == 0 {
		s.KeyEvery = max(1, (s.Rate+s.PerSeconds/2)/s.PerSeconds)
	}
	return s
}

func (s Spec) check(path string) error {
	size := fmt.Sprintf("%d × %d pixels", s.Width, s.Height)
	switch {
	case !s.Format.known():
		return ErrNotWritten.with("there is no "+s.Format.String(), "use one of this package").on(path, nil)
	case s.Width < MinSide || s.Height < MinSide:
		return ErrTooSmall.with("a clip of "+size+" is too small", "make it at least 16 × 16").on(path, nil)
	case s.Width > MaxWidth || s.Height > MaxHeight || s.Width*s.Height > MaxPixels:
		return ErrTooLarge.with("a clip of "+size+" is too large", "stay within 8192 × 4352").on(path, nil)
	case s.Width%2 != 0 || s.Height%2 != 0:
		return ErrNotWritten.with("a clip needs an even width and height, not "+size, "add or cut one row or column").on(path, nil)
	case s.Rate <= 0 || s.PerSeconds < 0:
		return ErrNotWritten.with("the clip has no frame rate", "give a rate above zero").on(path, nil)
	case s.Quality < 0 || s.Quality > 51:
		return ErrNotWritten.with(fmt.Sprintf("quality %d is out of range", s.Quality), "give 1 to 51").on(path, nil)
	case strings.ContainsAny(s.Preset, " :=,"):
		return ErrNotWritten.with("there is no preset "+strconv.Quote(s.Preset), "use one of x264's").on(path, nil)
	}
	return nil
}

// Writer writes one clip. Its methods must not be called at the same time.
type Writer struct {
	path, part string
	spec       Spec
	p          *process
	scratch    Frame
	// clear and alpha are the scratch of a transparent clip.
	clear  *image.NRGBA
	alpha  []byte
	frames int
	err    error
	closed bool
}

// errClosed is what a closed writer answers.
var errClosed = errors.New("video: the clip was closed")

// Create begins a clip. It grows in a file of another name beside it; Close moves it
// into place when it is whole and safe on the disk. The colour is BT.709, limited range.
// Equal frames give equal files on one engine of one version. The caller must call Close
// or Abort. Errors: ErrReadOnly, ErrMissing (the folder), ErrFolder, ErrNotWritten (a spec
// that cannot be written, or an engine that lacks the encoder), ErrDiskFull.
func (e *engine) Create(ctx context.Context, path string, spec Spec) (*Writer, error) {
	spec = spec.withDefaults(e.machine.preset())
	if err := spec.check(path); err != nil {
		return nil, err
	}
	part, err := reserve(path, spec.Format.Ending())
	if err != nil {
		return nil, err
	}
	rate := strconv.Itoa(spec.Rate) + "/" + strconv.Itoa(spec.PerSeconds)
	args := []string{"-hide_banner", "-nostats", "-loglevel", "level+error", "-y",
		"-f", "rawvideo", "-pix_fmt", formats[spec.Format].fed, "-s", fmt.Sprintf("%dx%d", spec.Width, spec.Height), "-r", rate, "-i", "pipe:0"}
	args = append(append(args, spec.encode(e.machine.threads())...), outputHere)
	p, err := e.start(ctx, job{tool: ffmpegTool, args: args, output: part, fed: true})
	if err != nil {
		_ = os.Remove(part)
		return nil, err
	}
	go func() { _, _ = io.Copy(io.Discard, p.out) }()
	return &Writer{path: path, part: part, spec: spec, p: p}, nil
}

// reserve makes the empty file in which a file of this path grows: in the same folder, so
// that it can be moved into place in one step, and hidden. Errors: ErrReadOnly, ErrMissing
// (the folder), ErrFolder, ErrDiskFull.
func reserve(path, ending string) (string, error) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return "", ErrFolder.with("this is a folder; a clip needs a file name", "add a name such as clip"+ending).on(path, nil)
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+plainName(path)+"-*.part"+ending)
	if err != nil {
		return "", judgeOutput(path, nil, err)
	}
	name := f.Name()
	if err := errors.Join(f.Chmod(0o644), f.Close()); err != nil {
		_ = os.Remove(name)
		return "", judgeOutput(path, nil, err)
	}
	return name, nil
}

// plainName returns the name of a file without its ending and without what a
// pattern would take for a place holder, and not too long for one more word.
func plainName(path string) string {
	name := strings.ReplaceAll(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), "*", "_")
	for len(name) > 100 {
		name = name[:len(name)-len(name)/4]
	}
	return strings.ToValidUTF8(name, "_")
}

// Frames returns how many frames were written.
func (w *Writer) Frames() int { return w.frames }

// YUV adds one frame, whose samples are taken as BT.709, limited range. It
// panics when the frame has another size than the clip or the clip is transparent.
func (w *Writer) YUV(f Frame) error {
	if f.Width != w.spec.Width || f.Height != w.spec.Height {
		panic("video: Writer.YUV: the frame has another size than the clip")
	}
	if w.spec.Format.Alpha() {
		panic("video: Writer.YUV: a transparent clip takes RGBA")
	}
	return w.add(f.Y, f.U, f.V)
}

// add writes the planes of one frame to the tool.
func (w *Writer) add(planes ...[]byte) error {
	if w.closed {
		return errClosed
	}
	for _, plane := range planes {
		if w.err != nil {
			return w.err
		}
		if _, err := w.p.in.Write(plane); err != nil {
			w.fail(err)
			return w.err
		}
	}
	w.frames++
	return nil
}

// Planes adds one frame from planes that hold BT.709, limited range: the type is a
// container only, though by itself it would mean another range. Rows may have padding;
// without it nothing is copied. It panics when the frame has another size than the clip
// or is not 4:2:0, or when the clip is transparent.
func (w *Writer) Planes(p *image.YCbCr) error {
	if p.Rect.Dx() != w.spec.Width || p.Rect.Dy() != w.spec.Height || p.SubsampleRatio != image.YCbCrSubsampleRatio420 ||
		p.Rect.Min.X%2 != 0 || p.Rect.Min.Y%2 != 0 {
		panic("video: Writer.Planes: the frame is not of the clip's size in 4:2:0")
	}
	if w.spec.Format.Alpha() {
		panic("video: Writer.Planes: a transparent clip takes RGBA")
	}
	width, height := w.spec.Width, w.spec.Height
	y, c := p.YOffset(p.Rect.Min.X, p.Rect.Min.Y), p.COffset(p.Rect.Min.X, p.Rect.Min.Y)
	if p.YStride == width && p.CStride == width/2 {
		n := width * height
		return w.add(p.Y[y:y+n], p.Cb[c:c+n/4], p.Cr[c:c+n/4])
	}
	if w.scratch.Y == nil {
		w.scratch = NewFrame(width, height)
	}
	f := w.scratch
	for row := range height {
		copy(f.Y[row*width:(row+1)*width], p.Y[y+row*p.YStride:])
	}
	for row := range height / 2 {
		copy(f.U[row*width/2:(row+1)*width/2], p.Cb[c+row*p.CStride:])
		copy(f.V[row*width/2:(row+1)*width/2], p.Cr[c+row*p.CStride:])
	}
	return w.add(f.Y, f.U, f.V)
}

// RGBA adds one picture. A transparent clip keeps its transparency: the picture is
// premultiplied, as image.RGBA is, and is written straight, which is what editing
// programs and browsers take of ProRes and WebM. Any other clip ignores it. It panics when
// the picture has another size than the clip.
func (w *Writer) RGBA(img *image.RGBA) error {
	if w.spec.Format.Alpha() {
		return w.straight(img)
	}
	if w.scratch.Y == nil {
		w.scratch = NewFrame(w.spec.Width, w.spec.Height)
	}
	w.scratch.SetRGBA(img)
	return w.YUV(w.scratch)
}

// fail ends the tool and finds out why it no longer takes frames.
func (w *Writer) fail(cause error) {
	w.p.stop()
	ended := w.p.wait()
	if ctxErr := w.p.ctx.Err(); ctxErr != nil {
		w.err = ctxErr
	} else if failed(ended) {
		w.err = ErrEngine.on(w.path, lastError(w.p.log.complaints(), ended))
	} else {
		w.err = judgeOutput(w.path, w.p.log.complaints(), cause)
	}
	_ = os.Remove(w.part)
}

// Close finishes the clip: it returns nil only when the whole clip is at its
// path and on the disk. After any error nothing is left behind, and what was at
// the path before is still there.
func (w *Writer) Close() error {
	if w.closed {
		return errClosed
	}
	w.closed = true
	if w.err != nil {
		return w.err
	}
	if w.frames == 0 {
		w.p.stop()
		_ = w.p.wait()
		_ = os.Remove(w.part)
		return ErrNotWritten.with("the clip has no frames", "add at least one").on(w.path, nil)
	}
	err := w.p.in.Close()
	if ended := w.p.written(); ended != nil {
		err = ended
	}
	if err != nil {
		w.fail(err)
		return w.err
	}
	if err := settle(w.part, w.path); err != nil {
		_ = os.Remove(w.part)
		return judgeOutput(w.path, nil, err)
	}
	return nil
}

// written is wait for a tool that writes a file. FFmpeg 5.1 ends as if all were well where
// the end of a file could not be written, above all on a full disk: it only says so.
func (p *process) written() error {
	if err := p.wait(); err != nil {
		return err
	}
	for _, s := range p.log.complaints() {
		if strings.Contains(s, "Error writing trailer") || strings.Contains(s, "Error closing file") || strings.Contains(s, "No space left") {
			return errors.New(s)
		}
	}
	return nil
}

// Abort gives the clip up and leaves nothing behind. It does nothing after Close.
func (w *Writer) Abort() {
	if w.closed {
		return
	}
	w.closed = true
	w.p.stop()
	_ = w.p.wait()
	_ = os.Remove(w.part)
}

// settle makes a finished file safe on the disk and moves it into place.
func settle(part, path string) error {
	f, err := os.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(part, path); err != nil {
		return err
	}
	// Some systems neither open nor sync a folder; the clip is in place there too.
	if dir, err := os.Open(filepath.Dir(path)); err == nil {
		_ = dir.Sync()
		_ = dir.Close()
	}
	return nil
}
