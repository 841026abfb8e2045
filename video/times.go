package video

import (
	"context"
	"errors"
	"math"
	"sort"
	"strconv"

	"mesure/sport/mark"
)

const (
	// cheapSamples is how many brightness samples are decoded to compare the
	// packets with the frames: about a second of work on the embedded engine.
	cheapSamples = 64_000_000
	// headFrames is how many frames are compared at the start of a long video.
	headFrames = 24
	// sameTime is how far two computations of one time stamp may lie apart, in
	// seconds: time bases are 1 µs or coarser, and ticks of half of that would be
	// another frame.
	sameTime = 2e-7
)

// times returns the time of every frame shown, and whether a decoded frame said
// that it is interlaced.
func (e *engine) times(ctx context.Context, path string, d *detail, packets stamps, tell func(float64)) ([]mark.FileTime, bool, error) {
	listed := packets.times(d)
	total := len(packets.pts) + packets.missing
	trusted := !d.raw() && packets.missing == 0 && total > 0
	count := 0 // all
	if trusted && total*d.codedWidth*d.codedHeight > cheapSamples {
		count = headFrames
	}
	decoded, fields, err := e.decodeTimes(ctx, path, d, count, total, tell)
	if err != nil {
		return nil, false, err
	}
	if trusted {
		if agree(listed, decoded, count) {
			return listed, fields, nil
		}
		if count > 0 { // the head disagrees: count them all
			if decoded, fields, err = e.decodeTimes(ctx, path, d, 0, total, tell); err != nil {
				return nil, false, err
			}
		}
	}
	if len(decoded) == 0 {
		return nil, false, ErrDamaged.with("no frame of the video can be decoded", ErrDamaged.Mend).on(path, nil)
	}
	return decoded, fields, nil
}

// agree compares the times from the packets with those of decoded frames: all of
// them, or as many as were asked for.
func agree(listed, decoded []mark.FileTime, count int) bool {
	want := len(listed)
	if count > 0 {
		want = min(want, count)
	}
	if len(decoded) != want {
		return false
	}
	for i, t := range decoded {
		if math.Abs(float64(t-listed[i])) > sameTime {
			return false
		}
	}
	return true
}

// decodeTimes decodes count frames from the start (0: all) and returns their
// times. Frames without a usable time stamp are counted at the rate of the
// stream.
func (e *engine) decodeTimes(ctx context.Context, path string, d *detail, count, total int, tell func(float64)) ([]mark.FileTime, bool, error) {
	args := decodeArgs()
	args = append(args, inputHere, "-map", "0:"+picture, "-fps_mode", "passthrough", "-vf", "showinfo=checksum=0")
	if count > 0 {
		args = append(args, "-frames:v", strconv.Itoa(count))
	}
	args = append(args, "-f", "null", "-")
	p, err := e.start(ctx, job{tool: ffmpegTool, args: args, input: path})
	if err != nil {
		return nil, false, err
	}
	goal := total
	if count > 0 {
		goal = min(count, max(total, 1))
	}
	var shown []shownInfo
	fields := false
	for {
		info, ok := p.log.next()
		if !ok {
			break
		}
		shown = append(shown, info)
		fields = fields || info.interlaced
		if goal > 0 && len(shown)%8 == 0 {
			tell(float64(len(shown)) / float64(goal))
		}
	}
	ended := p.wait()
	if ctx.Err() != nil {
		return nil, false, ctx.Err()
	}
	said := p.log.complaints()
	if failed(ended) {
		return nil, false, ErrEngine.on(path, lastError(said, ended))
	}
	if cutOff(said) {
		return nil, false, ErrTruncated.on(path, lastError(said, nil))
	}
	if count > 0 && len(shown) > count { // the filter is ahead of the output
		shown = shown[:count]
	}
	if len(shown) == 0 {
		return nil, false, judge(path, said, ended)
	}
	return timesOf(shown, p.log, d), fields, nil
}

// timesOf turns what showinfo said into times: its time stamps where every frame
// has one and they rise, else the numbers of the frames at the stated rate. AVI
// has no times of presentation, only a rate.
func timesOf(shown []shownInfo, log *toolLog, d *detail) []mark.FileTime {
	t := make([]mark.FileTime, len(shown))
	usable := !d.raw() && d.format != "avi"
	for i, s := range shown {
		t[i] = mark.FileTime(log.seconds(s.pts))
		if !s.known || (i > 0 && t[i] <= t[i-1]) {
			usable = false
		}
	}
	if usable {
		return t
	}
	rate := likelyRate(t, d)
	for i := range t {
		t[i] = mark.FileTime(seconds(int64(i), rate[1], rate[0]))
	}
	return t
}

// likelyRate returns that of the stated rates which is nearest to the middle
// interval of the decoded frames: some files state the rate of fields.
func likelyRate(decoded []mark.FileTime, d *detail) [2]int64 {
	rates := d.rates()
	var gaps []float64
	for i := 1; i < len(decoded); i++ {
		gaps = append(gaps, float64(decoded[i]-decoded[i-1]))
	}
	if len(gaps) == 0 || d.raw() {
		return rates[0]
	}
	sort.Float64s(gaps)
	gap := gaps[len(gaps)/2]
	best := rates[0]
	for _, r := range rates[:max(1, len(rates)-1)] {
		if math.Abs(seconds(1, r[1], r[0])-gap) < math.Abs(seconds(1, best[1], best[0])-gap) {
			best = r
		}
	}
	return best
}

// decodeArgs are the options of every decoding run, up to the input.
func decodeArgs() []string {
	args := []string{"-nostdin", "-hide_banner", "-nostats", "-loglevel", "level+info"}
	args = append(args, guarded()...)
	return append(args, "-noautorotate", "-copyts", "-an", "-sn", "-dn", "-i")
}

// lastError returns the last complaint, or else the given error.
func lastError(said []string, err error) error {
	if s := lastOf(said); s != "" {
		return errors.New(s)
	}
	return err
}
