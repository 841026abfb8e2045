package video

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"mesure/sport/mark"
)

// JoinOptions says what is joined, and what is laid under it.
type JoinOptions struct {
	// Spec is that of every piece.
	Spec Spec
	// Sound says whether the clip has a sound track. It is silent where none of Sounds is
	// heard. AAC in MP4, Opus in WebM, 16-bit samples in MOV.
	Sound  bool
	Sounds []Sound
	// Chapters in the order of their times; each lasts until the next.
	Chapters []Chapter
}

// Sound is a stretch of the sound of a video, at its own speed. A video without sound gives
// silence. What reaches beyond the end of the clip is cut off; two at one time are added.
type Sound struct {
	// Path of the video, which is not changed.
	Path string
	// From and To are instants of that video.
	From, To mark.FileTime
	// At is the instant of the clip at which From is heard.
	At mark.FileTime
}

// Chapter opens at an instant of the clip.
type Chapter struct {
	At    mark.FileTime
	Title string
}

// Join puts pieces together in their order into a clip at this path, without decoding or
// encoding the pictures: every frame of every piece, once. The pieces must be clips that
// Create wrote with o.Spec on this engine. The clip is moved into place when it is whole and
// safe on the disk; after an error, what was at the path before is still there and nothing
// is left behind. The pieces are not changed.
//
// Errors: those of reading for a piece or a sound (ErrMissing, ErrNotVideo, ErrScript …);
// ErrNotWritten where pieces do not fit together, times cannot be or the engine lacks an
// encoder; ErrReadOnly, ErrFolder, ErrDiskFull.
func (e *engine) Join(ctx context.Context, path string, pieces []string, o JoinOptions) (err error) {
	o.Spec = o.Spec.withDefaults(e.machine.preset())
	if err := o.check(path, pieces); err != nil {
		return err
	}
	counts, err := fit(pieces, o.Spec)
	if err != nil {
		return err
	}
	frames := 0
	for _, n := range counts {
		frames += n
	}
	part, err := reserve(path, o.Spec.Format.Ending())
	if err != nil {
		return err
	}
	temps := []string{part}
	defer func() {
		for _, t := range temps {
			if rmErr := os.Remove(t); rmErr != nil && !errors.Is(rmErr, os.ErrNotExist) {
				err = errors.Join(err, rmErr)
			}
		}
	}()
	// What is joined comes first; sound and chapters are files of their own beside the part.
	others := append([]string(nil), pieces...)
	args := []string{"-hide_banner", "-nostats", "-loglevel", "level+error", "-y",
		"-protocol_whitelist", "file,pipe", "-format_whitelist", "concat," + readable,
		"-thread_queue_size", queued, "-f", "concat", "-safe", "0", "-i", "pipe:0"}
	inputs, track, chapters := 1, -1, -1
	if o.Sound {
		track, inputs = inputs, inputs+1
		pcm, err := e.mix(ctx, path, o, o.Spec.seconds(frames))
		if pcm != "" {
			temps = append(temps, pcm)
		}
		if err != nil {
			return err
		}
		args = append(args, o.Spec.Format.lead()...)
		args = append(args, "-thread_queue_size", queued, "-f", "s16le", "-ar", strconv.Itoa(soundRate), "-ac", strconv.Itoa(soundChannels), "-i", otherHere(len(others)))
		others = append(others, pcm)
	}
	if len(o.Chapters) > 0 {
		chapters = inputs
		list, err := writeBeside(path, ".chapters", chapterList(o.Chapters, o.Spec.seconds(frames)))
		if err != nil {
			return err
		}
		temps = append(temps, list)
		args = append(args, "-f", "ffmetadata", "-i", otherHere(len(others)))
		others = append(others, list)
	}
	args = append(args, "-map", "0:v:0", "-c:v", "copy", "-map_metadata:g", "-1", "-map_chapters", strconv.Itoa(chapters))
	args = append(args, o.Spec.stamp()...)
	if track >= 0 {
		args = append(args, "-map", strconv.Itoa(track)+":a:0")
		args = append(args, o.Spec.Format.sound()...)
	}
	args = append(append(args, o.Spec.Format.mux()...), outputHere)
	p, err := e.start(ctx, job{tool: ffmpegTool, args: args, others: others, output: part, fed: true})
	if err != nil {
		return err
	}
	if err := e.feedList(p, pieces, counts, o.Spec); err != nil && ctx.Err() == nil {
		p.stop()
		_ = p.wait()
		return judgeOutput(path, p.log.complaints(), err)
	}
	if err := p.written(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if failed(err) {
			return ErrEngine.on(path, lastError(p.log.complaints(), err))
		}
		return judgeOutput(path, p.log.complaints(), err)
	}
	if err := settle(part, path); err != nil {
		return judgeOutput(path, nil, err)
	}
	return nil
}

// queued is how many packets the tool reads ahead of each input. With its own choice of
// eight it finds one input empty again and again and sleeps each time: a minute of clip with
// sound took 1.8 s to join, with this 0.4 s (FFmpeg 5.1.9).
const queued = "4096"

// check refuses what cannot be joined before anything is read.
func (o JoinOptions) check(path string, pieces []string) error {
	if err := o.Spec.check(path); err != nil {
		return err
	}
	if len(pieces) == 0 {
		return ErrNotWritten.with("there is nothing to join", "give at least one piece").on(path, nil)
	}
	for _, p := range pieces {
		if strings.ContainsAny(p, "\n\r\x00") {
			return ErrNotWritten.with("the name of a piece has a line break in it", "rename it").on(strconv.Quote(p), nil)
		}
	}
	for i, s := range o.Sounds {
		if !(s.From >= -maxTime && s.To > s.From && s.To <= maxTime && s.At >= 0 && s.At <= maxTime) {
			return ErrNotWritten.with(fmt.Sprintf("sound %d cannot be from %v s to %v s at %v s of the clip", i+1, s.From, s.To, s.At),
				"give an end after the start and a time from 0 on").on(s.Path, nil)
		}
	}
	for i, c := range o.Chapters {
		if !(c.At >= 0 && c.At <= maxTime) || i > 0 && c.At <= o.Chapters[i-1].At {
			return ErrNotWritten.with(fmt.Sprintf("chapter %d cannot begin at %v s", i+1, c.At), "give chapters in the order of their times").on(path, nil)
		}
	}
	return nil
}

// maxTime is the latest instant of a video or a clip, in seconds: ten days.
const maxTime = 864_000

// seconds is how long so many frames last.
func (s Spec) seconds(frames int) float64 {
	return float64(frames) * float64(s.PerSeconds) / float64(s.Rate)
}

// stamp gives every frame its time stamp anew where the container is too coarse for the sum
// of the pieces' own to be right: WebM counts in milliseconds.
func (s Spec) stamp() []string {
	if s.Format != FormatWebM && s.Format != FormatWebMAlpha {
		return nil
	}
	return []string{"-bsf:v", fmt.Sprintf("setts=ts=round(N*%d/%d/TB)", s.PerSeconds, s.Rate)}
}

// feedList writes the list of the pieces to the tool. Their lengths are given, since they
// follow from the frames: what a container says is rounded.
func (e *engine) feedList(p *process, pieces []string, counts []int, s Spec) error {
	var b strings.Builder
	b.WriteString("ffconcat version 1.0\n")
	frames, before := 0, int64(0)
	for i, name := range pieces {
		url, err := e.machine.sees(i, name)
		if err != nil {
			return err
		}
		frames += counts[i]
		end := int64(s.seconds(frames)*1e6 + 0.5)
		fmt.Fprintf(&b, "file '%s'\nduration %dus\n", strings.ReplaceAll(url, "'", `'\''`), end-before)
		before = end
	}
	if _, err := p.in.Write([]byte(b.String())); err != nil {
		return err
	}
	return p.in.Close()
}

// chapterList writes chapters as the tool reads them, in milliseconds.
func chapterList(list []Chapter, lasts float64) string {
	var b strings.Builder
	b.WriteString(";FFMETADATA1\n")
	ms := func(t float64) int64 { return int64(t*1000 + 0.5) }
	for i, c := range list {
		end := ms(lasts)
		if i+1 < len(list) {
			end = ms(float64(list[i+1].At))
		}
		end = max(end, ms(float64(c.At))+1)
		fmt.Fprintf(&b, "[CHAPTER]\nTIMEBASE=1/1000\nSTART=%d\nEND=%d\ntitle=%s\n", ms(float64(c.At)), end, escapeTitle(c.Title))
	}
	return b.String()
}

// titleBytes is how long a title may be: MP4 counts it in one byte.
const titleBytes = 250

// escapeTitle keeps a title on its line.
func escapeTitle(s string) string {
	s = strings.Join(strings.Fields(strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", " "), "\uFFFD")), " ")
	if len(s) > titleBytes {
		cut := titleBytes - len("…")
		for cut > 0 && s[cut]&0xC0 == 0x80 {
			cut--
		}
		s = s[:cut] + "…"
	}
	return strings.NewReplacer(`\`, `\\`, "=", `\=`, ";", `\;`, "#", `\#`).Replace(s)
}
