package video

import (
	"math"
	"strconv"
	"strings"
	"sync"
)

// detail is what the engine must know of a file to decode it, beyond the Clip.
type detail struct {
	stream map[string]string
	format string
	// codedWidth and codedHeight as the decoder puts out the frames, before the
	// rotation; width is after non-square pixels were made square.
	codedWidth, codedHeight int
	width                   int
	rotation                int
	// num/den is the time base, start the time at which the file begins.
	num, den int64
	start    float64
	bytes    int64
	colour   Colour
	depth    int
	fields   bool
	// bottom is true where the stream says that the lower field is the earlier one.
	bottom bool
	// gaps is true when packets without time stamps were met.
	gaps bool
}

// raw reports whether the file is a bare stream without any time stamps.
func (d *detail) raw() bool { return rawFormats[d.format] }

// rawFormats are bare streams by the names of their demuxers.
var rawFormats = map[string]bool{
	"h264": true, "hevc": true, "m4v": true, "mpegvideo": true, "h263": true,
	"h261": true, "vc1": true, "dnxhd": true, "mjpeg": true, "cavsvideo": true,
}

// shown returns the size after rotation.
func (d *detail) shown() (width, height int) {
	if d.rotation == 90 || d.rotation == 270 {
		return d.codedHeight, d.width
	}
	return d.width, d.codedHeight
}

// rates returns the frames a second that the stream states, as fractions; 25
// where it states none, as the demuxers of bare streams take it.
func (d *detail) rates() [][2]int64 {
	var list [][2]int64
	for _, key := range []string{"avg_frame_rate", "r_frame_rate"} {
		if n, m, ok := fraction(d.stream[key], "/"); ok && n > 0 {
			list = append(list, [2]int64{n, m})
		}
	}
	return append(list, [2]int64{25, 1})
}

// pixelFormat is the one to ask for: the range of the samples stays as it is.
func (d *detail) pixelFormat() string {
	if d.colour.Full {
		return "yuvj420p"
	}
	return "yuv420p"
}

// The limits of a picture. A frame of MaxWidth × MaxHeight takes 50 MB.
const (
	MinSide   = 16
	MaxWidth  = 8192
	MaxHeight = 8192
	// MaxPixels is a little above 8K UHD (7680 × 4320).
	MaxPixels = 8192 * 4352
)

// squareEnough is how far the shape of a pixel may be from square and still be
// left alone: containers round it, and 0.5 % is 5 mm in a metre.
const squareEnough = 0.005

// newDetail reads the sections "stream" and "format" of ffprobe.
func newDetail(path string, stream, format map[string]string) (*detail, error) {
	d := &detail{stream: stream, format: format["format_name"], num: 1, den: 1, depth: 8}
	d.codedWidth, _ = strconv.Atoi(stream["width"])
	d.codedHeight, _ = strconv.Atoi(stream["height"])
	d.bytes, _ = strconv.ParseInt(format["size"], 10, 64)
	if n, m, ok := fraction(stream["time_base"], "/"); ok {
		d.num, d.den = n, m
	}
	d.start, _ = strconv.ParseFloat(format["start_time"], 64)
	w, h := d.codedWidth, d.codedHeight
	size := strconv.Itoa(w) + " × " + strconv.Itoa(h) + " pixels"
	switch {
	case w <= 0 || h <= 0:
		return nil, ErrDamaged.on(path, nil)
	case w > MaxWidth || h > MaxHeight || w*h > MaxPixels:
		return nil, ErrTooLarge.with("the picture has "+size+", more than 8192 × 4352 in all or 8192 on a side",
			"scale the video down first").on(path, nil)
	case w < MinSide || h < MinSide:
		return nil, ErrTooSmall.with("the picture has "+size+", too few to measure on (at least 16 × 16)",
			"use the video as the camera recorded it").on(path, nil)
	}
	d.width = w
	if n, m, ok := fraction(stream["sample_aspect_ratio"], ":"); ok && n > 0 && m > 0 {
		wide := int(math.Round(float64(w) * float64(n) / float64(m)))
		if math.Abs(float64(n)/float64(m)-1) > squareEnough && wide >= MinSide && wide <= MaxWidth {
			d.width = wide
		}
	}
	d.rotation = rotationOf(stream)
	d.colour = colourOf(stream, h)
	d.depth = depthOf(stream)
	switch stream["field_order"] {
	case "tt", "bb", "tb", "bt":
		d.fields = true
		// The second letter is the field that is shown first.
		d.bottom = strings.HasSuffix(stream["field_order"], "b")
	}
	return d, nil
}

// rotationOf reads the turn that the file asks for, in degrees clockwise, from
// the display matrix itself: what tools print as its angle differs in sign. The
// matrix maps x to a·x + c·y and y to b·x + d·y with v down (ISO/IEC 14496-12,
// section 8.3.2).
func rotationOf(stream map[string]string) int {
	var a, b float64
	if m := stream["displaymatrix"]; m != "" {
		var rows [][]float64
		for _, line := range strings.Split(strings.ReplaceAll(m, `\n`, "\n"), "\n") {
			_, numbers, ok := strings.Cut(line, ":")
			if !ok {
				continue
			}
			var row []float64
			for _, word := range strings.Fields(numbers) {
				v, err := strconv.ParseFloat(word, 64)
				if err != nil {
					return 0
				}
				row = append(row, v)
			}
			rows = append(rows, row)
		}
		if len(rows) == 0 || len(rows[0]) < 2 {
			return 0
		}
		a, b = rows[0][0], rows[0][1]
	} else if v, err := strconv.ParseFloat(stream["tag:rotate"], 64); err == nil {
		b, a = math.Sincos(v * math.Pi / 180)
	} else {
		return 0
	}
	if a == 0 && b == 0 {
		return 0
	}
	quarter := int(math.Round(math.Atan2(b, a) / (math.Pi / 2)))
	return (quarter + 4) % 4 * 90
}

func colourOf(stream map[string]string, height int) Colour {
	var c Colour
	format := stream["pix_fmt"]
	rgb := strings.HasPrefix(format, "gbr") || strings.Contains(format, "rgb") ||
		strings.Contains(format, "bgr") || format == "pal8" || strings.HasPrefix(format, "argb") || strings.HasPrefix(format, "abgr")
	switch stream["color_space"] {
	case "bt709":
		c.Matrix = BT709
	case "bt2020nc", "bt2020c":
		c.Matrix = BT2020
	case "smpte170m", "bt470bg", "fcc":
	default:
		if height >= highDefinition {
			c.Matrix = BT709
		}
	}
	switch stream["color_transfer"] {
	case "arib-std-b67":
		c.Transfer = HLG
	case "smpte2084":
		c.Transfer = PQ
	}
	c.Full = strings.HasPrefix(format, "yuvj") || stream["color_range"] == "pc"
	if rgb { // turned into BT.601, limited range, on the way out
		c = Colour{Matrix: BT601}
	}
	return c
}

func depthOf(stream map[string]string) int {
	if n, err := strconv.Atoi(stream["bits_per_raw_sample"]); err == nil && n >= 1 && n <= 16 {
		return n
	}
	format := strings.TrimSuffix(strings.TrimSuffix(stream["pix_fmt"], "le"), "be")
	for _, n := range []int{16, 14, 12, 10, 9} {
		s := strconv.Itoa(n)
		if strings.HasSuffix(format, "p"+s) || strings.HasSuffix(format, "gray"+s) || strings.HasPrefix(format, "p0"+s) {
			return n
		}
	}
	return 8
}

// memory keeps the details of the files seen last, so that a still need not
// examine its file again.
type memory struct {
	mu    sync.Mutex
	known map[fileKey]*detail
	order []fileKey
}

// remembered is how many files are kept in mind.
const remembered = 64

func newMemory() *memory { return &memory{known: map[fileKey]*detail{}} }

func (m *memory) get(k fileKey) *detail {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.known[k]
}

func (m *memory) put(k fileKey, d *detail) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, ok := m.known[k]; !ok {
		m.order = append(m.order, k)
		if len(m.order) > remembered {
			delete(m.known, m.order[0])
			m.order = m.order[1:]
		}
	}
	m.known[k] = d
}
