package video

import (
	"bufio"
	"context"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"

	"mesure/sport/mark"
)

// readable lists the demuxers that may open a file, by FFmpeg's names. Formats
// that open further files are not among them.
const readable = "mov,mp4,matroska,webm,avi,mpegts,mpeg,mpegvideo,h264,hevc,m4v,h263,vc1,av1,obu,ivf,flv,asf,mxf,nut,ogg,dv,mjpeg,yuv4mpegpipe,gif,wtv,rm"

// guarded are the options that keep a file from making a tool open another.
func guarded() []string {
	return []string{"-format_whitelist", readable, "-protocol_whitelist", "file"}
}

// picture is the stream that is used: the first with a moving picture.
const picture = "V:0"

// streamEntries are what is asked about the stream and the file.
const streamEntries = "stream=codec_name,width,height,pix_fmt,field_order,time_base,start_time," +
	"avg_frame_rate,r_frame_rate,sample_aspect_ratio,color_range,color_space,color_transfer," +
	"color_primaries,bits_per_raw_sample,nb_frames,duration:stream_side_data=displaymatrix:" +
	"stream_tags=rotate:format=format_name,start_time,duration,size"

// stamps are the time stamps of the packets of a file.
type stamps struct {
	pts []int64
	// missing counts the packets that are shown and have no time stamp.
	missing int
}

// Probe examines a file: what it holds and when each of its frames is shown. The
// times come from the packets; they are compared with frames that were decoded,
// all of them in a short video and the first ones in a long one, and where the
// two disagree every frame is decoded and counted. Errors: those of this package
// about an input file; a cancelled context.
func (e *engine) Probe(ctx context.Context, path string, progress func(share float64)) (mark.Clip, error) {
	key, err := look(path)
	if err != nil {
		return mark.Clip{}, err
	}
	tell := steady(progress)
	d, packets, err := e.examine(ctx, path, true, key.bytes, func(s float64) { tell(packetShare * s) })
	if err != nil {
		return mark.Clip{}, err
	}
	e.seen.put(key, d)
	times, fields, err := e.times(ctx, path, d, packets, func(s float64) { tell(packetShare + (1-packetShare)*s) })
	if err != nil {
		return mark.Clip{}, err
	}
	tell(1)
	w, h := d.shown()
	return mark.Clip{
		Width: w, Height: h, Rotation: d.rotation, Times: times,
		Interlaced: d.fields || fields, BitDepth: d.depth,
		Codec: d.stream["codec_name"], Container: d.format,
	}, nil
}

// packetShare is the part of the progress that reading the packets takes.
const packetShare = 0.5

// steady makes progress never go back, and bears a nil function.
func steady(progress func(float64)) func(float64) {
	last := -1.0
	return func(s float64) {
		if progress == nil || math.IsNaN(s) {
			return
		}
		s = min(max(s, 0), 1)
		if s > last {
			last = s
			progress(s)
		}
	}
}

// headPackets is how many packets show whether a file has time stamps.
const headPackets = 64

// examine runs ffprobe on a file, on all of its packets or on the first ones.
func (e *engine) examine(ctx context.Context, path string, all bool, bytes int64, tell func(float64)) (*detail, stamps, error) {
	args := append([]string{"-hide_banner", "-loglevel", "level+error"}, guarded()...)
	if !all {
		args = append(args, "-read_intervals", "%+#"+strconv.Itoa(headPackets))
	}
	args = append(args, "-select_streams", picture, "-show_entries", streamEntries+":packet=pts,flags,pos", "-of", "compact", inputHere)
	p, err := e.start(ctx, job{tool: ffprobeTool, args: args, input: path})
	if err != nil {
		return nil, stamps{}, err
	}
	found, err := readProbe(p.out, bytes, tell)
	if err != nil {
		p.stop()
	}
	ended := p.wait()
	if ctx.Err() != nil {
		return nil, stamps{}, ctx.Err()
	}
	said := p.log.complaints()
	if failed(ended) {
		return nil, stamps{}, ErrEngine.on(path, lastError(said, ended))
	}
	if err != nil {
		return nil, stamps{}, ErrEngine.on(path, err)
	}
	if ended != nil || found.format == nil {
		return nil, stamps{}, judge(path, said, ended)
	}
	if found.stream == nil {
		return nil, stamps{}, ErrNoPicture.on(path, nil)
	}
	if cutOff(said) {
		return nil, stamps{}, ErrTruncated.on(path, lastError(said, nil))
	}
	d, err := newDetail(path, found.stream, found.format)
	if err != nil {
		return nil, stamps{}, err
	}
	d.gaps = found.packets.missing > 0
	return d, found.packets, nil
}

// cutOff reports whether a tool met the end of the file before its content did.
func cutOff(said []string) bool {
	for _, s := range said {
		if strings.Contains(s, "partial file") || strings.Contains(s, "File ended prematurely") {
			return true
		}
	}
	return false
}

type probed struct {
	stream, format map[string]string
	packets        stamps
}

// readProbe reads the compact output of ffprobe: one section a line, fields
// between bars, packets first.
func readProbe(r io.Reader, bytes int64, tell func(float64)) (probed, error) {
	var got probed
	in := bufio.NewReaderSize(r, 64<<10)
	for {
		line, err := in.ReadString('\n')
		line = strings.TrimRight(line, "\r\n")
		switch section, rest, _ := strings.Cut(line, "|"); section {
		case "packet":
			got.packets.add(rest, bytes, tell)
		case "stream":
			if got.stream == nil {
				got.stream = fieldsOf(rest)
			}
		case "format":
			got.format = fieldsOf(rest)
		}
		if err == io.EOF {
			return got, nil
		}
		if err != nil {
			return got, err
		}
	}
}

func fieldsOf(line string) map[string]string {
	m := map[string]string{}
	for _, f := range strings.Split(line, "|") {
		if k, v, ok := strings.Cut(f, "="); ok {
			m[k] = v
		}
	}
	return m
}

// add takes one packet, unless it is flagged as decoded but not shown.
func (s *stamps) add(line string, bytes int64, tell func(float64)) {
	var pts, flags string
	for rest := line; rest != ""; {
		var f string
		f, rest, _ = strings.Cut(rest, "|")
		switch k, v, _ := strings.Cut(f, "="); k {
		case "pts":
			pts = v
		case "flags":
			flags = v
		case "pos":
			if n, err := strconv.ParseInt(v, 10, 64); err == nil && bytes > 0 && len(s.pts)%64 == 0 {
				tell(float64(n) / float64(bytes))
			}
		}
	}
	if strings.Contains(flags, "D") {
		return
	}
	n, err := strconv.ParseInt(pts, 10, 64)
	if err != nil {
		s.missing++
		return
	}
	s.pts = append(s.pts, n)
}

// times returns the packets' times in order of presentation.
func (s stamps) times(d *detail) []mark.FileTime {
	pts := append([]int64(nil), s.pts...)
	sort.Slice(pts, func(i, j int) bool { return pts[i] < pts[j] })
	t := make([]mark.FileTime, len(pts))
	for i, p := range pts {
		t[i] = mark.FileTime(seconds(p, d.num, d.den))
	}
	return t
}
