package video

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// ffprobed asks ffprobe, the judge from outside, about a file; the reader of the other
// engine would be of our own making.
func ffprobed(t *testing.T, path string) (streams []map[string]any, format map[string]any, chapters, packets []map[string]any) {
	t.Helper()
	probe, err := exec.LookPath("ffprobe")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skipf("SKIPPED: NO FFPROBE TO CHECK WITH: %v", err)
	}
	out, err := exec.Command(probe, "-v", "error", "-count_packets", "-show_packets", "-show_streams", "-show_format", "-show_chapters", "-of", "json", path).Output()
	if err != nil {
		t.Fatalf("ffprobe %s: %v", path, err)
	}
	var all struct {
		Streams  []map[string]any
		Format   map[string]any
		Chapters []map[string]any
		Packets  []map[string]any
	}
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	return all.Streams, all.Format, all.Chapters, all.Packets
}

// number reads a number that ffprobe wrote as text.
func number(t *testing.T, v any) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(fmt.Sprint(v), 64)
	if err != nil {
		t.Fatalf("%v is no number", v)
	}
	return f
}

// codedPiece writes count frames with barcodes from first on.
func codedPiece(t *testing.T, e Engine, path string, s Spec, first, count int) {
	t.Helper()
	w, err := e.Create(context.Background(), path, s)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Abort()
	f := NewFrame(s.Width, s.Height)
	for n := first; n < first+count; n++ {
		paintCode(f, n)
		if s.Format.Alpha() {
			err = w.RGBA(f.RGBA())
		} else {
			err = w.Planes(f.YCbCr())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// beeps are the instants at which the videos of beepVideo beep, in seconds of their
// picture's clock.
var beeps = []float64{0.30, 1.10, 1.65}

// beepVideo writes a video of two seconds whose sound is silent but for three tones of
// 60 ms, each with a pitch of its own.
func beepVideo(t *testing.T, path string, more ...string) {
	t.Helper()
	pcm := make([]byte, 0, 2*2*44100)
	for i := range 2 * 44100 {
		at, v := float64(i)/44100, 0.0
		for k, b := range beeps {
			if at >= b && at < b+0.06 {
				v = 12000 * math.Sin(2*math.Pi*float64(700+400*k)*(at-b))
			}
		}
		pcm = binary.LittleEndian.AppendUint16(pcm, uint16(int16(v)))
	}
	args := append([]string{"-y", "-f", "s16le", "-ar", "44100", "-ac", "1", "-i", "pipe:0",
		"-f", "lavfi", "-i", "color=gray:s=64x48:r=25:d=2", "-map", "1:v", "-map", "0:a",
		"-c:v", "libx264", "-preset", "ultrafast", "-g", "50", "-threads", "1", "-c:a", "aac", "-b:a", "96k"}, more...)
	tool(t, Embedded(), "", path, strings.NewReader(string(pcm)), append(args, outputHere)...)
}

// onsets decodes the sound of a file and returns where its tones begin, in seconds, with
// their pitches, and how long it lasts.
func onsets(t *testing.T, e Engine, path string) (at, pitch []float64, lasts float64) {
	t.Helper()
	out := tool(t, e, path, "", nil, "-copyts", "-i", inputHere, "-map", "0:a:0", "-af", "aresample=48000:async=1:first_pts=0", "-ac", "1", "-f", "s16le", "-")
	v := make([]float64, len(out)/2)
	for i := range v {
		v[i] = float64(int16(binary.LittleEndian.Uint16(out[2*i:])))
	}
	const loud, quiet = 3000, 48000 / 50
	last := -quiet
	for i, s := range v {
		if math.Abs(s) < loud {
			continue
		}
		if i-last >= quiet {
			at = append(at, float64(i)/48000)
			crossings := 0
			for k := i; k < min(i+1920, len(v)-1); k++ { // 40 ms
				if (v[k] < 0) != (v[k+1] < 0) {
					crossings++
				}
			}
			pitch = append(pitch, float64(crossings)/2/0.04)
		}
		last = i
	}
	return at, pitch, float64(len(v)) / 48000
}

// joins are what is joined on which engine; the others differ in nothing that Join does and
// are joined in the deep run.
var joins = []struct {
	engine string
	format Format
	sounds int
	deep   bool
}{
	{NativeName, FormatMP4, 3, false}, {EmbeddedName, FormatWebM, 3, false},
	{NativeName, FormatProRes, 0, false}, {NativeName, FormatWebMAlpha, 0, false},
	{EmbeddedName, FormatMP4, 3, true}, {NativeName, FormatWebM, 3, true},
	{EmbeddedName, FormatProRes, 3, true}, {EmbeddedName, FormatWebMAlpha, 3, true},
}

// deepEnv makes the tests go through everything that takes long and tells little more.
const deepEnv = "MESURE_DEEP"

// TestJoin joins pieces and wants every frame of every piece once and in order, sound where
// it belongs, chapters, and the file to say what it is.
func TestJoin(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: one piece after the other; TestJoinFails runs side by side")
	}
	dir := t.TempDir()
	beep := filepath.Join(dir, "l'assaut d'épée – 剣 'x'.mov")
	beepVideo(t, beep, "-output_ts_offset", "1.5", "-f", "mov") // its clock does not begin at 0
	engine := map[string]Engine{}
	for _, e := range engines(t) {
		engine[e.Name()] = e
	}
	lengths := []int{7, 1, 40}
	for _, c := range joins {
		e, format := engine[c.engine], c.format
		if e == nil || c.deep && os.Getenv(deepEnv) == "" {
			continue
		}
		t.Run(c.engine+" "+format.String(), func(t *testing.T) {
			out := t.TempDir()
			spec := Spec{Width: codeWidth, Height: codeHeight, Rate: 30000, PerSeconds: 1001, Format: format}
			var pieces []string
			total := 0
			for i, n := range lengths {
				pieces = append(pieces, filepath.Join(out, fmt.Sprintf("piece %d – l'épée \\ 'é' [%d]%s", i, i, format.Ending())))
				codedPiece(t, e, pieces[i], spec, total, n)
				total += n
			}
			path := filepath.Join(out, "a joined clip"+format.Ending())
			lasts := float64(total) * 1001 / 30000
			o := JoinOptions{Spec: spec, Sound: true, Sounds: []Sound{
				{Path: beep, From: 1.5 + 0.2, To: 1.5 + 0.5, At: 0.4},  // the first tone, at 0.5
				{Path: beep, From: 1.5 + 1.6, To: 1.5 + 1.75, At: 1.0}, // the last, at 1.05
				{Path: beep, From: 1.5 + 1.0, To: 1.5 + 1.4, At: 1.35}, // the second, at 1.45, cut by the end
			}[:c.sounds], Chapters: []Chapter{{0, "La préparation"}, {0.5, `a=b; #c \ "d"` + "\nnew line"}, {1.1, strings.Repeat("é", 200)}}}
			if err := e.Join(context.Background(), path, pieces, o); err != nil {
				t.Fatal(err)
			}
			checkJoined(t, path, format, total, lasts)
			checkCodes(t, e, path, total)
			if c.sounds == 0 {
				return
			}
			at, pitch, heard := onsets(t, e, path)
			want, pitches := []float64{0.5, 1.05, 1.45}, []float64{700, 1500, 1100}
			if len(at) != len(want) {
				t.Fatalf("tones at %v, want %v", at, want)
			}
			for i := range want {
				if math.Abs(at[i]-want[i]) > 0.005 || math.Abs(pitch[i]-pitches[i]) > 60 {
					t.Errorf("tone %d of %.0f Hz at %.4f s, want %.0f Hz at %v s", i, pitch[i], at[i], pitches[i], want[i])
				}
			}
			const audioFrame = 1024.0 / 48000
			if math.Abs(heard-lasts) > audioFrame {
				t.Errorf("the sound lasts %v s, the pictures %v s", heard, lasts)
			}
			if c.engine == EmbeddedName && !c.deep {
				return
			}
			again := filepath.Join(out, "b"+format.Ending())
			if err := e.Join(context.Background(), again, pieces, o); err != nil {
				t.Fatal(err)
			}
			sameFile(t, path, again)
		})
	}
}

// sameFile wants two files of the same bytes.
func sameFile(t *testing.T, a, b string) {
	t.Helper()
	x, err := os.ReadFile(a)
	if err != nil {
		t.Fatal(err)
	}
	y, err := os.ReadFile(b)
	if err != nil {
		t.Fatal(err)
	}
	if string(x) != string(y) {
		t.Errorf("equal input gave %d and %d bytes that differ", len(x), len(y))
	}
}

// checkJoined asks ffprobe.
func checkJoined(t *testing.T, path string, format Format, frames int, lasts float64) {
	t.Helper()
	streams, whole, chapters, packets := ffprobed(t, path)
	checkStamps(t, packets)
	if d := number(t, whole["duration"]); math.Abs(d-lasts) > 1024.0/48000+1e-3 {
		t.Errorf("the file lasts %v s, want %v", d, lasts)
	}
	checkStream(t, streams[0], format, frames)
	wantSound := map[Format]string{FormatMP4: "aac", FormatProRes: "pcm_s16le"}[format]
	if wantSound == "" {
		wantSound = "opus"
	}
	sounds := 0
	for _, s := range streams {
		if s["codec_type"] == "audio" {
			if sounds++; s["codec_name"] != wantSound || s["channels"] != 2.0 || s["sample_rate"] != "48000" {
				t.Errorf("the sound is %v", s)
			}
		}
	}
	if sounds != 1 {
		t.Errorf("%d sound tracks", sounds)
	}
	if len(chapters) != 3 {
		t.Fatalf("chapters %v", chapters)
	}
	for i, c := range chapters {
		start := []float64{0, 0.5, 1.1}[i]
		if math.Abs(number(t, c["start_time"])-start) > 1e-3 {
			t.Errorf("chapter %d at %v, want %v", i, c["start_time"], start)
		}
		title := fmt.Sprint(c["tags"].(map[string]any)["title"])
		want := []string{"La préparation", `a=b; #c \ "d" new line`, strings.Repeat("é", 123) + "…"}[i]
		if title != want {
			t.Errorf("chapter %d is called %q, want %q", i, title, want)
		}
	}
}

// checkStream wants the codec, the samples, the colour and the frames of a format. The
// number of packets is that of the frames.
func checkStream(t *testing.T, s map[string]any, format Format, frames int) {
	t.Helper()
	want := map[string]any{"codec_name": "h264", "pix_fmt": "yuv420p", "color_range": "tv", "color_space": "bt709",
		"color_primaries": "bt709", "color_transfer": "bt709"}
	switch format {
	case FormatWebM, FormatWebMAlpha:
		want["codec_name"] = "vp9"
	case FormatProRes:
		want["codec_name"], want["pix_fmt"], want["profile"] = "prores", "yuva444p12le", "4444" // as the decoder puts ten bits out
	}
	for k, v := range want {
		if s[k] != v {
			t.Errorf("ffprobe says %s is %v, want %v", k, s[k], v)
		}
	}
	if got := number(t, s["nb_read_packets"]); int(got) != frames {
		t.Errorf("ffprobe counts %v frames, want %d", got, frames)
	}
	if format == FormatWebMAlpha {
		if tags, _ := s["tags"].(map[string]any); fmt.Sprint(tags["alpha_mode"]) != "1" && fmt.Sprint(tags["ALPHA_MODE"]) != "1" {
			t.Errorf("the file does not say that it is transparent: %v", tags)
		}
	}
}

// checkCodes reads the number of every frame from its pixels.
func checkCodes(t *testing.T, e Engine, path string, frames int) {
	t.Helper()
	pix := tool(t, e, path, "", nil, "-i", inputHere, "-map", "0:v:0", "-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "yuv420p", "-")
	size := frameBytes(codeWidth, codeHeight)
	if len(pix) != frames*size {
		t.Fatalf("%d bytes of pictures are not %d frames", len(pix), frames)
	}
	for n := range frames {
		if c := readCode(frameOver(pix[n*size:(n+1)*size], codeWidth, codeHeight), 0); c != n {
			t.Errorf("frame %d shows %d", n, c)
		}
	}
}

// checkStamps wants the pictures at their times, to the half millisecond of WebM.
func checkStamps(t *testing.T, packets []map[string]any) {
	t.Helper()
	var at []float64
	for _, p := range packets {
		if p["codec_type"] == "video" {
			at = append(at, number(t, p["pts_time"]))
		}
	}
	sort.Float64s(at)
	for n, v := range at {
		if off := math.Abs(v - float64(n)*1001/30000); off > 0.51e-3 {
			t.Errorf("frame %d at %v s, %v s off", n, v, off)
		}
	}
}
