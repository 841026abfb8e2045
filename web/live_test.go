package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"mesure/show/summary"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// sees is where a camera 11 m before the middle of the piste and 2.9 m high, which
// looks down by 0.17 rad and is turned by pan, shows a place.
func sees(pan, x, y, z float64) mark.Pixel {
	dx, dy, dz := x-0.4, y+11, z-2.9
	right, ahead := dx*math.Cos(pan)-dy*math.Sin(pan), dx*math.Sin(pan)+dy*math.Cos(pan)
	depth := ahead*math.Cos(0.17) - dz*math.Sin(0.17)
	return mark.Pixel{U: 640 + 1250*right/depth, V: 360 + 1250*(-dz*math.Cos(0.17)-ahead*math.Sin(0.17))/depth}
}

// stood is a fencer on guard: how far before the front foot and how high.
var stood = map[mark.What][2]float64{
	mark.Point: {1.2, 1.28}, mark.Guard: {0.3, 1.25}, mark.Elbow: {0.05, 1.2}, mark.Shoulder: {-0.2, 1.35}, mark.Mask: {-0.2, 1.6}, mark.Hip: {-0.3, 0.85},
	mark.FrontKnee: {0, 0.45}, mark.FrontToe: {0.15, 0}, mark.FrontHeel: {-0.1, 0}, mark.RearToe: {-0.55, 0}, mark.RearHeel: {-0.6, 0},
}

// marked sets placings, all marks and a moment on five frames of a touch, filmed by
// a camera that pans.
func marked(t *study.Touch) {
	t.Takes = []mark.Take{{ID: "live", Video: t.Videos[0].ID, From: 0, To: 99}}
	t.Placings, t.Marks, t.Moments = nil, nil, nil
	for i := range 5 {
		f, pan := mark.Frame(10+15*i), 0.02*float64(i-2)
		p := study.Placing{Take: "live", Frame: f}
		for k, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"} {
			on, _ := piste.Named(name, piste.Width)
			at := sees(pan, on.X, on.Y, 0)
			at.U += 0.4 * math.Sin(float64(7*i+3*k)) // a hand is never exact
			p.Points = append(p.Points, study.PlacedPoint{Name: name, On: on, At: at})
		}
		t.Placings = append(t.Placings, p)
		for _, s := range mark.Sides {
			x, towards := -1.4+0.1*float64(i), 1.0
			if s == mark.Right {
				x, towards = 1.4, -1
			}
			for _, w := range mark.Points() {
				t.Marks = append(t.Marks, mark.Mark{Take: "live", Frame: f, Who: s, What: w, At: sees(pan, x+towards*stood[w][0], 0, stood[w][1])})
			}
		}
		t.Moments = append(t.Moments, mark.Moment{ID: fmt.Sprintf("m%d", i), Name: "moment", Take: "live", After: f - 1, By: f})
	}
	t.Race = study.RaceAsk{From: "m1", Left: study.RunAsk{Action: "lunge"}, Right: study.RunAsk{Action: "extension"}}
}

// onBench puts a bout with one touch on a bench and returns the address of its live
// reading and the touch as it would be marked.
func onBench(t testing.TB) (*bench, string, study.Touch) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "record", lines(up.Media.SHA256, "one")))
	paper := must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/one/touch", up.Bout), nil)
	marked(&paper.Touch)
	return b, fmt.Sprintf("/api/touches/%s/reading", paper.Stamp.ID), paper.Touch
}

func TestLiveReadsWhatStandsOnTheDesk(t *testing.T) {
	b, path, touch := onBench(t)
	got := must[Live](b, http.MethodPost, path, object{"touch": touch, "race": true, "stave": true, "night": true})
	s := got.Summary
	if len(s.Placings) != 5 || len(s.Instants) != 5 || len(s.Moments) != 5 || s.Race == nil || len(s.Race.Runs) != 2 {
		t.Fatalf("%d placings, %d instants, %d moments, race %v", len(s.Placings), len(s.Instants), len(s.Moments), s.Race)
	}
	if !strings.HasPrefix(got.Race, "<svg") || got.Stave == nil || !strings.HasPrefix(got.Stave.SVG, "<svg") {
		t.Error("a picture that was asked for is missing")
	}
	again := must[Live](b, http.MethodPost, path, object{"touch": touch})
	if !reflect.DeepEqual(again.Summary, s) || again.Race != "" || again.Stave != nil {
		t.Error("asked again, the numbers differ, or pictures come that nobody asked for")
	}
	if d := must[TouchPaper](b, http.MethodGet, strings.TrimSuffix(path, "/reading"), nil); d.Stamp.Revision != 1 || len(d.Touch.Marks) != 0 {
		t.Error("a reading changed what is stored")
	}
	// A mark that moves moves the gap, and nothing else of the placing.
	touch.Marks = slices.Clone(touch.Marks)
	touch.Marks[0].At.U -= 20
	moved := must[Live](b, http.MethodPost, path, object{"touch": touch}).Summary
	if !reflect.DeepEqual(moved.Placings, s.Placings) || reflect.DeepEqual(moved.Instants[0].Gaps, s.Instants[0].Gaps) {
		t.Error("a mark that moved did not move its gap alone")
	}
}

// TestLiveGoesOnWithoutOneFrame: a placing of two points costs its own frame, which
// says why, and the touch says what it needs.
func TestLiveGoesOnWithoutOneFrame(t *testing.T) {
	b, path, touch := onBench(t)
	touch.Placings[2].Points = touch.Placings[2].Points[:1]
	s := must[Live](b, http.MethodPost, path, object{"touch": touch}).Summary
	refused := slices.IndexFunc(s.Placings, func(p summary.Placing) bool { return p.Refused != "" })
	if len(s.Instants) != 4 || refused < 0 || s.Placings[refused].Frame != touch.Placings[2].Frame {
		t.Errorf("%d instants, refused: %d", len(s.Instants), refused)
	}
	if len(s.Needs) == 0 || s.Needs[0].Step != study.StepPlace || s.Needs[0].Frame != touch.Placings[2].Frame || len(s.Needs[0].Points) != 1 {
		t.Errorf("needs %+v", s.Needs)
	}
}

// TestLiveFollowsTheBout: what a window says of the bout is not looked at; the
// shelf has it.
func TestLiveFollowsTheBout(t *testing.T) {
	b, path, touch := onBench(t)
	before := must[Live](b, http.MethodPost, path, object{"touch": touch}).Summary
	touch.Bout = bout.Bout{Weapon: "spoon", Left: bout.Fencer{Stature: 2.4, Reach: 3}}
	if after := must[Live](b, http.MethodPost, path, object{"touch": touch}).Summary; !reflect.DeepEqual(after, before) {
		t.Error("the bout of the window was read, not that of the shelf")
	}
}

func TestLiveRefusals(t *testing.T) {
	b, path, touch := onBench(t)
	b.refused(http.StatusNotFound, http.MethodPost, "/api/touches/nothing/reading", object{"touch": touch})
	if got := b.refused(http.StatusUnprocessableEntity, http.MethodPost, path, object{"touch": touch, "draws": maxLiveDraws + 1}); !strings.Contains(got.Detail, "draws") {
		t.Errorf("too many draws: %s", got.Detail)
	}
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, path, object{"touch": touch, "draws": 1})
	late := touch
	late.Takes = []mark.Take{{ID: "live", Video: touch.Videos[0].ID, To: 100}}
	if got := b.refused(http.StatusUnprocessableEntity, http.MethodPost, path, object{"touch": late}); len(got.Errors) != 1 || got.Errors[0].Location != "/takes/0/to" {
		t.Errorf("a take beyond the video: %+v", got)
	}
	touch.Note = "refuse me"
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, path, object{"touch": touch})
}

// TestLiveStopsWhenTheWindowGoesAway: a request that was given up does no work.
func TestLiveStopsWhenTheWindowGoesAway(t *testing.T) {
	b, path, touch := onBench(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	w := b.ask(http.MethodPost, path, object{"touch": touch}, func(r *http.Request) { *r = *r.WithContext(ctx) })
	if w.Code != 499 {
		t.Errorf("%d: %s", w.Code, w.Body)
	}
}

// TestManyWindowsReadAtOnce: answers do not mix, and each is what it is alone.
func TestManyWindowsReadAtOnce(t *testing.T) {
	b, path, touch := onBench(t)
	of := func(k int) study.Touch {
		c := touch
		c.Marks = slices.Clone(touch.Marks)
		c.Marks[0].At.U -= 5 * float64(k)
		return c
	}
	var want [4]Live
	for k := range want {
		want[k] = must[Live](b, http.MethodPost, path, object{"touch": of(k), "draws": 1000, "race": true})
	}
	var all sync.WaitGroup
	for n := range 24 {
		all.Add(1)
		go func() {
			defer all.Done()
			k := n % len(want)
			w := b.ask(http.MethodPost, path, object{"touch": of(k), "draws": 1000, "race": true})
			var got Live
			if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || !reflect.DeepEqual(got, want[k]) {
				t.Errorf("window %d: %d, not what it is alone", n, w.Code)
			}
		}()
	}
	all.Wait()
}

// TestPrintedPartsMakeTheText walks an answer: the parts of every number, put
// together, are its text, and no digit stands in one that does not stand in the
// other.
func TestPrintedPartsMakeTheText(t *testing.T) {
	b, path, touch := onBench(t)
	s := must[Live](b, http.MethodPost, path, object{"touch": touch}).Summary
	n := 0
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		if num, ok := v.Interface().(summary.Number); ok {
			n++
			if got := joined(num); got != num.Text {
				t.Errorf("the parts %+v make %q", num, got)
			}
			return
		}
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		}
	}
	walk(reflect.ValueOf(s))
	if n < 100 {
		t.Errorf("only %d numbers were looked at", n)
	}
}

// joined puts the parts of a number together as the browser does.
func joined(n summary.Number) string {
	if n.Value == "" || strings.Trim(n.Value, "-0123456789.") != "" {
		return n.Text
	}
	text := strings.Replace(n.Value, "-", "−", 1)
	if n.Doubt != "" {
		text += "\u00a0±\u00a0" + n.Doubt
	}
	switch n.Unit {
	case "":
	case "°":
		text += n.Unit
	default:
		text += "\u00a0" + n.Unit
	}
	return text
}

// FuzzLive: whatever a window sends, the server answers, and never with a fault of
// its own.
func FuzzLive(f *testing.F) {
	b, path, touch := onBench(f)
	good, err := json.Marshal(object{"touch": touch, "draws": 200, "race": true, "stave": true})
	if err != nil {
		f.Fatal(err)
	}
	for _, change := range [][2]string{
		{"", ""}, {`"at":{`, `"at":{"u":1e300,"v":-1e300,`}, {`"frame":10`, `"frame":-3`}, {`"frame":25`, `"frame":1000000000`},
		{`"take":"live"`, `"take":""`}, {`"sd":0`, `"sd":-1`}, {`"from":0`, `"from":99`}, {`"to":99`, `"to":0`}, {`"to":99`, `"to":99,"factor":-2`},
		{`"to":99`, `"to":99,"factor":1e-300,"offset_s":1e308`}, {`"to":99`, `"to":99,"factor_sd":-1e300,"offset_sd_s":-4`},
		{`"after_frame":9`, `"after_frame":10`}, {`"name":"centre-near"`, `"name":"nowhere"`}, {`"action":"lunge"`, `"action":"nap"`},
		{`"draws":200`, `"draws":-5`}, {`"x":`, `"x":1e308,"z":`}, {`"what":"point"`, `"what":""`}, {`"videos":[`, `"videos":[],"v":[`},
		{`"touch":{`, `"touch":{"piste_width_m":-1,`}, {`"touch":{`, `"touch":{"piste_width_m":1e308,`},
	} {
		f.Add(strings.ReplaceAll(string(good), change[0], change[1]))
	}
	f.Add(`{"touch":{}}`)
	f.Add(`{}`)
	f.Add(`[`)
	f.Fuzz(func(t *testing.T, body string) {
		if len(body) > 1<<17 {
			return
		}
		w := (&bench{b.Server, b.lib, b.reel, t}).ask(http.MethodPost, path, body)
		if w.Code >= 500 {
			t.Fatalf("%d: %s", w.Code, w.Body)
		}
		if w.Code == http.StatusOK && !json.Valid(w.Body.Bytes()) {
			t.Fatalf("not JSON: %s", w.Body)
		}
	})
}

// BenchmarkLive is a drag of one mark on a touch with five instants and all marks:
// from the request to the answer.
func BenchmarkLive(bm *testing.B) {
	for _, c := range []struct {
		name string
		ask  object
		drag func(*study.Touch, int)
	}{
		{"numbers", object{}, func(t *study.Touch, i int) { t.Marks[0].At.U += 0.25 * float64(i%40) }},
		{"pictures", object{"race": true, "stave": true}, func(t *study.Touch, i int) { t.Marks[0].At.U += 0.25 * float64(i%40) }},
		{"placing", object{}, func(t *study.Touch, i int) { t.Placings[1].Points[1].At.U += 0.01 * float64(i) }},
	} {
		bm.Run(c.name, func(bm *testing.B) {
			b, path, touch := onBench(bm)
			for i := 0; bm.Loop(); i++ {
				next := touch
				next.Marks = slices.Clone(touch.Marks)
				next.Placings = slices.Clone(touch.Placings)
				next.Placings[1].Points = slices.Clone(touch.Placings[1].Points)
				c.drag(&next, i)
				c.ask["touch"] = next
				must[Live](b, http.MethodPost, path, c.ask)
			}
		})
	}
}
