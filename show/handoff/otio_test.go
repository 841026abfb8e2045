package handoff

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"net/url"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"mesure/sport/mark"
)

// What the test reads of the format, by its field names alone.
type readTime struct{ Value, Rate float64 }

func (r readTime) seconds() float64 { return r.Value / r.Rate }

type readRange struct {
	Start    readTime `json:"start_time"`
	Duration readTime
}

type readItem struct {
	Schema  string `json:"OTIO_SCHEMA"`
	Name    string
	Range   *readRange `json:"source_range"`
	Effects []struct {
		Schema string  `json:"OTIO_SCHEMA"`
		Scalar float64 `json:"time_scalar"`
	}
	Markers []struct {
		Name, Color, Comment string
		Range                readRange `json:"marked_range"`
		Metadata             struct {
			Mesure struct {
				Frame int
				At    float64 `json:"file_time_s"`
			}
		}
	}
	References map[string]struct {
		URL       string    `json:"target_url"`
		Available readRange `json:"available_range"`
	} `json:"media_references"`
	Active string `json:"active_media_reference_key"`
}

type readTimeline struct {
	Name   string
	Tracks struct {
		Children []struct {
			Kind     string
			Children []readItem
		}
	}
}

// readBack checks the file against the schema and reads its only track.
func readBack(t *testing.T, cut Cut) (string, readTimeline) {
	t.Helper()
	var a, b bytes.Buffer
	if err := WriteTimeline(&a, cut); err != nil {
		t.Fatal(err)
	}
	if err := WriteTimeline(&b, cut); err != nil || a.String() != b.String() {
		t.Fatal("written twice, the bytes differ")
	}
	s, err := jsonschema.NewCompiler().Compile("testdata/otio.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(a.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(v); err != nil {
		t.Errorf("the schema: %v", err)
	}
	var tl readTimeline
	if err := json.Unmarshal(a.Bytes(), &tl); err != nil {
		t.Fatal(err)
	}
	return a.String(), tl
}

// steadyTimes are stamps of n frames at this many a second, kept to so many parts of
// a second, as containers do; they start late, as files with a pre-roll do.
func steadyTimes(n int, rate, parts float64) []mark.FileTime {
	t := make([]mark.FileTime, n)
	for i := range t {
		t[i] = mark.FileTime(math.Round((1.4+float64(i)/rate)*parts) / parts)
	}
	return t
}

// unsteady is a telephone's file: no two intervals are the same, and some frames are
// missing.
func unsteady(n int) []mark.FileTime {
	t := make([]mark.FileTime, n)
	at := 0.0
	for i := range t {
		t[i] = mark.FileTime(math.Round(at*90000) / 90000)
		at += 0.033 + 0.004*math.Sin(float64(i)*1.7)
		if i%13 == 12 {
			at += 0.033
		}
	}
	return t
}

var cutOf = Cut{
	Name: "Touch 7: <Ève> & 山田",
	Media: []Media{
		{"live", "video/live take.mp4", steadyTimes(120, 30000.0/1001, 90000)},
		{"phone", "video/téléphone.mov", unsteady(60)},
	},
	Shots: []Shot{
		{Name: "Live", Media: "live", Take: "live", From: 10, To: 69, Markers: []Marker{{"Launch", "of left", 30, "GREEN"}, {"Hit", "", 69, ""}}},
		{Name: "Breath", Hold: 0.5},
		{Name: "Slow", Media: "phone", Take: "replay", From: 5, To: 40, Speed: 0.25, Markers: []Marker{{"Hand", "is late", 20, "BLUE"}}},
		{Name: "Held", Media: "live", Take: "live", From: 42, To: 42, Hold: 3, Markers: []Marker{{"Gap", "", 42, ""}}},
	},
}

func TestTimelineIsWhatTheFormatAsksFor(t *testing.T) {
	text, tl := readBack(t, cutOf)
	golden(t, "cut.otio", []byte(text))
	items := tl.Tracks.Children[0].Children
	if tl.Name != cutOf.Name || len(items) != 4 || tl.Tracks.Children[0].Kind != "Video" {
		t.Fatalf("%+v", tl)
	}
	for i, want := range []string{"Clip.2", "Gap.1", "Clip.2", "Clip.2"} {
		if items[i].Schema != want {
			t.Errorf("item %d is %s, want %s", i, items[i].Schema, want)
		}
	}
	// By hand: frames 10 to 69 of 30000/1001 are 60 frames from 10.
	live := items[0]
	if live.Range.Start.Value != 10 || live.Range.Duration.Value != 60 || live.Range.Start.Rate != 30000.0/1001 {
		t.Errorf("live is %+v", *live.Range)
	}
	if items[1].Range.Duration.seconds() != 0.5 {
		t.Errorf("the pause lasts %v s", items[1].Range.Duration.seconds())
	}
	// 3 s are 89.91 frames: 90.
	if h := items[3]; h.Range.Duration.Value != 90 || h.Effects[0].Schema != "FreezeFrame.1" || h.Effects[0].Scalar != 0 {
		t.Errorf("the hold is %+v %+v", *h.Range, h.Effects)
	}
	if u, err := url.Parse(live.References[live.Active].URL); err != nil || u.Path != "video/live take.mp4" || u.IsAbs() {
		t.Errorf("the file is at %v, %v", u, err)
	}
	if live.Markers[1].Color != "RED" || live.Markers[0].Comment != "of left" {
		t.Errorf("%+v", live.Markers)
	}
	if _, empty := readBack(t, Cut{}); len(empty.Tracks.Children) != 1 || len(empty.Tracks.Children[0].Children) != 0 {
		t.Errorf("an empty cut is %+v", empty)
	}
}

// TestTimesLeadBackToTheStamps goes the way of an editor: from the values of the file
// through the effect to an instant of the media, and holds it against the time stamps.
func TestTimesLeadBackToTheStamps(t *testing.T) {
	_, tl := readBack(t, cutOf)
	for i, item := range tl.Tracks.Children[0].Children {
		s := cutOf.Shots[i]
		if s.Media == "" {
			continue
		}
		m := cutOf.Media[0]
		if s.Media == "phone" {
			m = cutOf.Media[1]
		}
		stamp := func(f mark.Frame) float64 { return float64(m.Times[f] - m.Times[0]) }
		// The container keeps 1/90000 s, so half of that, twice; or half a microsecond.
		const near = 1.2e-5
		if d := item.Range.Start.seconds() - stamp(s.From); math.Abs(d) > near {
			t.Errorf("%s starts %g s off", s.Name, d)
		}
		scalar := 1.0
		if len(item.Effects) > 0 {
			scalar = item.Effects[0].Scalar
		}
		if s.Hold == 0 {
			used := item.Range.Duration.seconds() * scalar
			if d := used - (stamp(s.To+1) - stamp(s.From)); math.Abs(d) > near {
				t.Errorf("%s uses %g s too much of its file", s.Name, d)
			}
		}
		if len(item.Markers) != len(s.Markers) {
			t.Fatalf("%s has %d markers", s.Name, len(item.Markers))
		}
		for k, mk := range item.Markers {
			at := item.Range.Start.seconds() + (mk.Range.Start.seconds()-item.Range.Start.seconds())*scalar
			if d := at - stamp(s.Markers[k].Frame); math.Abs(d) > near {
				t.Errorf("%s: %s lies %g s off", s.Name, mk.Name, d)
			}
			if mk.Metadata.Mesure.At != float64(m.Times[s.Markers[k].Frame]) || mk.Metadata.Mesure.Frame != int(s.Markers[k].Frame) {
				t.Errorf("%s: the stamp of %s is %v", s.Name, mk.Name, mk.Metadata.Mesure)
			}
		}
		avail := item.References["DEFAULT_MEDIA"].Available
		end := item.Range.Start.seconds() + item.Range.Duration.seconds()*scalar
		if avail.Start.Value != 0 || end > avail.Start.seconds()+avail.Duration.seconds()+1e-6 {
			t.Errorf("%s ends at %v, after its file at %v", s.Name, end, avail.Duration.seconds())
		}
	}
}

// TestRates takes the rates of cameras and containers: each must be found from stamps
// kept to milliseconds, 1/90000 s and exactly, in files of a second or more.
func TestRates(t *testing.T) {
	for want, per := range map[Rate]float64{
		{24000, 1001}: 24000.0 / 1001, {24, 1}: 24, {25, 1}: 25, {30000, 1001}: 30000.0 / 1001, {30, 1}: 30, {50, 1}: 50,
		{60000, 1001}: 60000.0 / 1001, {60, 1}: 60, {120000, 1001}: 120000.0 / 1001, {120, 1}: 120, {240, 1}: 240, {25, 2}: 12.5,
	} {
		for _, parts := range []float64{1000, 90000, 1e12} {
			if got, steady := RateOf(steadyTimes(int(4*per), per, parts)); !steady || got != want {
				t.Errorf("%v kept to 1/%g s is %v, %v", want, parts, got, steady)
			}
		}
	}
	if r, steady := RateOf(unsteady(60)); steady || r != fineRate {
		t.Errorf("an unsteady file has the rate %v", r)
	}
	gap := append(steadyTimes(50, 25, 1e12), steadyTimes(60, 25, 1e12)[51:]...)
	if r, steady := RateOf(gap); steady {
		t.Errorf("a file with a dropped frame has the steady rate %v", r)
	}
	for _, short := range [][]mark.FileTime{nil, {3}, {0, 0}, {0, 1e-5}} {
		if _, steady := RateOf(short); steady {
			t.Errorf("%v has a steady rate", short)
		}
	}
}

func TestNamesInTimelines(t *testing.T) {
	for _, n := range names {
		c := Cut{Name: n, Media: []Media{{n + "x", "v/" + strings.NewReplacer(`\`, "", "/", "").Replace(oneLine(n)) + ".mp4", steadyTimes(30, 25, 1e6)}}}
		c.Shots = []Shot{{Name: n, Take: n, Media: n + "x", To: 9, Markers: []Marker{{n, n, 3, ""}}}}
		_, tl := readBack(t, c)
		item := tl.Tracks.Children[0].Children[0]
		if tl.Name != oneLine(n) || item.Name != oneLine(n) || item.Markers[0].Comment != oneLine(n) {
			t.Errorf("%q reads %q", n, item.Name)
		}
		if u, err := url.Parse(item.References["DEFAULT_MEDIA"].URL); err != nil || u.Path != c.Media[0].File {
			t.Errorf("%q: the file reads %v, %v", n, u, err)
		}
	}
}

func TestBadCuts(t *testing.T) {
	nan := math.NaN()
	live := []Media{{"live", "live.mp4", steadyTimes(30, 25, 1e6)}}
	shot := func(s Shot) Cut { return Cut{Media: live, Shots: []Shot{{Hold: 1}, s}} }
	for _, c := range []struct {
		cut  Cut
		kind string
		at   int
		why  string
	}{
		{Cut{Media: []Media{{"", "a.mp4", live[0].Times}}}, "media", 0, "no ID"},
		{Cut{Media: []Media{live[0], live[0]}}, "media", 1, "twice"},
		{Cut{Media: []Media{{"a", "/home/a.mp4", live[0].Times}}}, "media", 0, "cannot stand"},
		{Cut{Media: []Media{{"a", "../a.mp4", live[0].Times}}}, "media", 0, "cannot stand"},
		{Cut{Media: []Media{{"a", `v\a.mp4`, live[0].Times}}}, "media", 0, "cannot stand"},
		{Cut{Media: []Media{{"a", "", live[0].Times}}}, "media", 0, "cannot stand"},
		{Cut{Media: []Media{{"a", "a.mp4", nil}}}, "media", 0, "no frames"},
		{Cut{Media: []Media{{"a", "a.mp4", []mark.FileTime{0, 1, 1}}}}, "media", 0, "frame 2"},
		{Cut{Media: []Media{{"a", "a.mp4", []mark.FileTime{0, mark.FileTime(nan)}}}}, "media", 0, "frame 1"},
		{shot(Shot{Media: "gone"}), "shot", 1, "not among the media"},
		{shot(Shot{Media: "live", From: 3, To: 30}), "shot", 1, "0 to 29"},
		{shot(Shot{Media: "live", From: 3, To: 2}), "shot", 1, "frames 3 to 2"},
		{shot(Shot{Media: "live", From: -1, To: 2}), "shot", 1, "frames -1"},
		{shot(Shot{Media: "live", To: 2, Speed: -1}), "shot", 1, "its speed"},
		{shot(Shot{Media: "live", To: 2, Speed: 1e-9}), "shot", 1, "its speed"},
		{shot(Shot{Media: "live", To: 2, Hold: -1}), "shot", 1, "to a day"},
		{shot(Shot{}), "shot", 1, "how long"},
		{shot(Shot{Hold: 1, Markers: []Marker{{}}}), "shot", 1, "need a frame"},
		{shot(Shot{Media: "live", To: 2, Markers: []Marker{{Frame: 3}}}), "marker", 1, "0 to 2"},
		{shot(Shot{Media: "live", To: 9, Hold: 1, Markers: []Marker{{Frame: 3}}}), "marker", 1, "0 to 0"},
		{shot(Shot{Media: "live", To: 2, Markers: []Marker{{Colour: "mauve"}}}), "marker", 1, "PINK"},
	} {
		var b bytes.Buffer
		err := WriteTimeline(&b, c.cut)
		var e *Error
		if !errors.As(err, &e) || e.Kind != c.kind || e.Index != c.at || !strings.Contains(err.Error(), c.why) || b.Len() > 0 {
			t.Errorf("want %s %d %q: %v", c.kind, c.at, c.why, err)
		}
	}
}
