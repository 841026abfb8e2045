package video

import (
	"runtime"
	"strconv"
	"strings"
)

// Format is what a clip is written as. The zero value is FormatMP4.
type Format uint8

// The formats. All are BT.709, limited range, and say so in the file.
const (
	// FormatMP4 is H.264, 4:2:0, 8 bits, in MP4.
	FormatMP4 Format = iota
	// FormatWebM is VP9, 4:2:0, 8 bits, in WebM.
	FormatWebM
	// FormatProRes is ProRes 4444 with transparency in MOV, 4:4:4, 10 bits, for an
	// editing program. Large.
	FormatProRes
	// FormatWebMAlpha is VP9 with transparency in WebM, 4:2:0, 8 bits.
	FormatWebMAlpha
)

// formats tells what differs between the formats, in the order of the constants.
var formats = [...]struct {
	// words for a person, ending of the file, muxer, encoder, what is fed to the tool
	// and what the encoder gets.
	words, ending, muxer, encoder, fed, stored string
	alpha                                      bool
}{
	{"H.264 in MP4", ".mp4", "mp4", "libx264", "yuv420p", "yuv420p", false},
	{"VP9 in WebM", ".webm", "webm", "libvpx-vp9", "yuv420p", "yuv420p", false},
	{"ProRes 4444 in MOV", ".mov", "mov", "prores_ks", "rgba", "yuva444p10le", true},
	{"VP9 with transparency in WebM", ".webm", "webm", "libvpx-vp9", "yuva420p", "yuva420p", true},
}

func (f Format) known() bool { return int(f) < len(formats) }

// String names the format for a person.
func (f Format) String() string {
	if !f.known() {
		return "format " + strconv.Itoa(int(f))
	}
	return formats[f].words
}

// Ending returns the usual ending of a file of this format, with its dot.
func (f Format) Ending() string { return formats[f].ending }

// Alpha reports whether the format keeps transparency.
func (f Format) Alpha() bool { return formats[f].alpha }

// nativeThreads is how many threads a native encoder has: half of the processors, since two
// pieces of a clip are written at a time, and four at the most. x264's choice of bits may
// depend on it, and equal frames are to give equal files on every machine: measured on 240
// frames of 720p, veryfast, the file is the same for 1 to 4 threads and another one for 6;
// 5.5 s of processor time with one, 6.8 s with four. The embedded engine has one.
func nativeThreads() int { return min(mostThreads, max(1, runtime.NumCPU()/2)) }

const mostThreads = 4

// vp9Speed is libvpx's cpu-used in its real-time mode, as quick as it has it.
const vp9Speed = 8

// vp9Quality is the constant quality of VP9, 0 to 63, for a rate factor of x264, 1 to 51: the
// same share of the scale (no source).
func vp9Quality(crf int) int { return min(63, max(1, crf*63/51)) }

// proresQuality is the quantiser of ProRes, the same for every slice, so that the encoder
// has no rate to search for: a fifth of the time (FFmpeg 5.1.9), and pictures of ours
// come back at 54 dB to what was given, which is the rounding to 8 bits and a little.
const proresQuality = 3

// encode returns the options of the encoder, which has so many threads, and the muxer.
func (s Spec) encode(threads int) []string {
	f := formats[s.Format]
	args := []string{"-an", "-c:v", f.encoder, "-threads", strconv.Itoa(threads)}
	switch f.encoder {
	case "libx264":
		// Stitchable headers do not depend on the pictures, so that pieces can be joined.
		args = append(args, "-preset", s.Preset, "-crf", strconv.Itoa(s.Quality), "-x264-params", "stitchable=1")
	case "libvpx-vp9":
		// Without hidden frames every packet is a picture; transparency needs that, too.
		args = append(args, "-deadline", "realtime", "-cpu-used", strconv.Itoa(vp9Speed), "-b:v", "0",
			"-crf", strconv.Itoa(vp9Quality(s.Quality)), "-auto-alt-ref", "0", "-lag-in-frames", "0", "-tile-columns", "2", "-row-mt", "1")
	case "prores_ks":
		args = append(args, "-profile:v", "4444", "-q:v", strconv.Itoa(proresQuality), "-alpha_bits", "16", "-vendor", "apl0",
			"-vf", "scale=out_color_matrix=bt709:out_range=limited:flags=accurate_rnd+full_chroma_int+bitexact,"+
				"setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709")
	}
	if f.encoder != "prores_ks" { // which has key frames only
		args = append(args, "-g", strconv.Itoa(s.KeyEvery))
	}
	args = append(args, "-pix_fmt", f.stored)
	return append(append(args, tags709()...), s.Format.mux()...)
}

// tags709 are the options that write the colour into the file.
func tags709() []string {
	return []string{"-color_range", "tv", "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709"}
}

// mux returns the options of the muxer: nothing of the day or of the program is written,
// and a file that is read over a net begins with its table of contents.
func (f Format) mux() []string {
	args := []string{"-fflags", "+bitexact", "-flags:v", "+bitexact"}
	if f == FormatWebM || f == FormatWebMAlpha {
		// Rounding to milliseconds must not move the pictures: see opusLead.
		args = append(args, "-avoid_negative_ts", "disabled")
	} else {
		args = append(args, "-movflags", "+faststart")
	}
	return append(args, "-f", formats[f].muxer)
}

// lost says what a tool without an encoder cannot do; nil where that is not why it
// failed.
func lost(said []string) *Error {
	for _, s := range said {
		if !strings.Contains(s, "Unknown encoder") {
			continue
		}
		for _, a := range wanted() {
			if a.Write && a.encoder != "" && strings.Contains(s, "'"+a.encoder+"'") {
				return ErrNotWritten.with("this engine cannot write "+a.Codec+": "+a.Lost, "use the embedded engine, or install an ffmpeg that has "+a.encoder)
			}
		}
	}
	return nil
}
