package video

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// The samples in which sound is mixed: what Opus takes and films have (common practice).
const (
	soundRate     = 48000
	soundChannels = 2
	// soundBytes of one sample of all channels, 16 bits each.
	soundBytes = 2 * soundChannels
)

// edge is how many samples a stretch of sound takes to rise and to fall, so that a cut
// does not crack: 3 ms.
const edge = soundRate * 3 / 1000

// sound returns the options of the encoder of sound.
func (f Format) sound() []string {
	switch f {
	case FormatMP4:
		return []string{"-c:a", "aac", "-b:a", "160k", "-flags:a", "+bitexact"}
	case FormatProRes:
		return []string{"-c:a", "pcm_s16le"}
	}
	return []string{"-c:a", "libopus", "-b:a", "128k", "-flags:a", "+bitexact"}
}

// opusLead is how much sound libopus puts before the first sample, in seconds: 312 samples
// at 48 kHz. WebM states it and a reader takes it off the time stamps (RFC 7845 section 4.2;
// CodecDelay of RFC 9559), but the muxer of FFmpeg 5.1 does not add it to them.
const opusLead = 312.0 / soundRate

// lead returns the options of the input of sound that put its first sample at the start of
// the clip.
func (f Format) lead() []string {
	if f == FormatWebM || f == FormatWebMAlpha {
		return []string{"-itsoffset", decimal(opusLead)}
	}
	return nil
}

// samples is how many samples a time lasts.
func samples(seconds float64) int64 { return int64(math.Round(seconds * soundRate)) }

// mix writes the sound of a clip, of exactly its length, into a file beside it and returns
// the name of that file, also with an error where there is one to be removed.
func (e *engine) mix(ctx context.Context, path string, o JoinOptions, lasts float64) (name string, err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+plainName(path)+"-*.sound")
	if err != nil {
		return "", judgeOutput(path, nil, err)
	}
	name = f.Name()
	defer func() {
		if closeErr := f.Close(); err == nil && closeErr != nil {
			err = judgeOutput(path, nil, closeErr)
		}
	}()
	total := samples(lasts)
	if err := f.Truncate(total * soundBytes); err != nil { // silence
		return name, judgeOutput(path, nil, err)
	}
	for _, s := range o.Sounds {
		at := samples(float64(s.At))
		n := min(samples(float64(s.To-s.From)), total-at)
		if n <= 0 {
			continue
		}
		lay := layer{file: f, at: at, count: n}
		if err := e.hear(ctx, s, n, &lay); err != nil {
			return name, err
		}
		if lay.err != nil {
			return name, judgeOutput(path, nil, lay.err)
		}
	}
	return name, nil
}

// layer adds a stretch of sound to what a file already has.
type layer struct {
	file *os.File
	// at is where it begins and count how long it is, in samples; done have been written.
	at, count, done int64
	err             error
}

// Write takes whole samples.
func (l *layer) Write(b []byte) (int, error) {
	have := make([]byte, len(b))
	off := (l.at + l.done) * soundBytes
	if _, err := l.file.ReadAt(have, off); err != nil && err != io.EOF {
		l.err = err
		return 0, err
	}
	for i := 0; i+1 < len(b); i += 2 {
		k := l.done + int64(i/soundBytes)
		v := int64(int16(binary.LittleEndian.Uint16(b[i:])))
		if near := min(k, l.count-1-k); near < edge {
			v = v * max(0, near) / edge
		}
		v += int64(int16(binary.LittleEndian.Uint16(have[i:])))
		binary.LittleEndian.PutUint16(have[i:], uint16(int16(min(max(v, math.MinInt16), math.MaxInt16))))
	}
	if _, err := l.file.WriteAt(have, off); err != nil {
		l.err = err
		return 0, err
	}
	l.done += int64(len(b) / soundBytes)
	return len(b), nil
}

// hearBefore is how far before a stretch its decoding begins: sound decoders need some
// packets to come right, and a seek comes out at a picture that can be far off.
const hearBefore = 1.0

// hear decodes n samples of a sound into to; fewer where the sound ends before, none where
// the video has none. The time stamps of the sound decide what is heard when: gaps in it
// stay gaps.
func (e *engine) hear(ctx context.Context, s Sound, n int64, to io.Writer) error {
	d, err := e.known(ctx, s.Path)
	if err != nil {
		return err
	}
	args := append([]string{"-hide_banner", "-nostats", "-loglevel", "level+error"}, guarded()...)
	from := float64(s.From) - d.start // ffmpeg counts from the start of the file
	before := hearBefore
	if strings.HasPrefix(d.format, "mpeg") {
		before = wideSeek
	}
	if at := from - before; at > 0 && !d.raw() {
		args = append(args, "-ss", decimal(at))
		from = before
	}
	filter := fmt.Sprintf("asetpts=PTS-(%s)/TB,aresample=%d:async=1:first_pts=0", decimal(from), soundRate)
	args = append(args, "-vn", "-sn", "-dn", "-i", inputHere, "-map", "0:a:0", "-af", filter,
		"-ac", strconv.Itoa(soundChannels), "-f", "s16le", "-c:a", "pcm_s16le", "-fflags", "+bitexact", "-")
	p, err := e.start(ctx, job{tool: ffmpegTool, args: args, input: s.Path})
	if err != nil {
		return err
	}
	got, copyErr := io.CopyBuffer(struct{ io.Writer }{to}, wholeSamples(io.LimitReader(p.out, n*soundBytes)), make([]byte, 64<<10))
	if copyErr != nil || got == n*soundBytes {
		p.stop()
	}
	ended := p.wait()
	switch said := p.log.complaints(); {
	case ctx.Err() != nil:
		return ctx.Err()
	case copyErr != nil || got == n*soundBytes:
		return nil // the layer keeps its own error
	case failed(ended):
		return ErrEngine.on(s.Path, lastError(said, ended))
	case ended != nil && noSound(said):
		return nil
	case ended != nil:
		return ErrDamaged.with("the sound of this video cannot be decoded", "make the clip without sound").on(s.Path, lastError(said, ended))
	}
	return nil
}

// noSound reports whether a tool found no sound in a file.
func noSound(said []string) bool {
	for _, s := range said {
		if strings.Contains(s, "matches no streams") {
			return true
		}
	}
	return false
}

// known returns what is known of a file.
func (e *engine) known(ctx context.Context, path string) (*detail, error) {
	key, err := look(path)
	if err != nil {
		return nil, err
	}
	d := e.seen.get(key)
	if d == nil {
		if d, _, err = e.examine(ctx, path, false, key.bytes, func(float64) {}); err != nil {
			return nil, err
		}
		e.seen.put(key, d)
	}
	return d, nil
}

// wholeSamples returns a reader whose every read ends between two samples; what is cut off
// at the end is dropped.
func wholeSamples(r io.Reader) io.Reader { return &sampleReader{r: r} }

type sampleReader struct{ r io.Reader }

func (s *sampleReader) Read(b []byte) (int, error) {
	n, err := io.ReadFull(s.r, b[:len(b)-len(b)%soundBytes])
	if err == io.ErrUnexpectedEOF {
		err = nil // the next read says so
	}
	return n - n%soundBytes, err
}

// writeBeside writes a small file beside a path, of which it is a part while it is made.
func writeBeside(path, ending, text string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+plainName(path)+"-*"+ending)
	if err != nil {
		return "", judgeOutput(path, nil, err)
	}
	_, err = io.Copy(f, bytes.NewReader([]byte(text)))
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return "", judgeOutput(path, nil, err)
	}
	return f.Name(), nil
}
