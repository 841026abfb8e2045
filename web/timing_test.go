package web

import (
	"context"
	"encoding/json"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// onTiming is onBench for the timing of its touch.
func onTiming(t testing.TB) (*bench, string, study.Touch) {
	b, path, touch := onBench(t)
	return b, strings.TrimSuffix(path, "/reading") + "/timing", touch
}

var allPictures = []TimingPicture{picWindows, picMap, picParry, picStand, picStarted, picWhatIf, picFits}

func TestTimingOfTheFrameLookedAt(t *testing.T) {
	b, path, touch := onTiming(t)
	at := object{"take": "live", "frame": 40}
	got := must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "at": at, "draws": 2000, "pictures": allPictures, "phone": true})
	x := got.Timing
	if x == nil || x.Take != "live" || x.Frame != 40 || x.Race == nil || x.Windows == nil || x.Finding == "" {
		t.Fatalf("timing %+v", x)
	}
	if len(x.Windows.Answers) == 0 || x.Map != nil || x.WhatIf != nil {
		t.Errorf("%d answers; a map or a what-if that nobody asked for: %v, %v", len(x.Windows.Answers), x.Map, x.WhatIf)
	}
	if len(got.Profiles) != 2 || len(got.Profiles[0].Figures) == 0 {
		t.Errorf("profiles %+v", got.Profiles)
	}
	for _, name := range []TimingPicture{picWindows, picStand} {
		if !strings.HasPrefix(got.Pictures[string(name)], "<svg") {
			t.Errorf("no picture %q", name)
		}
	}
	if got.Pictures[string(picMap)] != "" || got.Pictures[string(picWhatIf)] != "" {
		t.Error("a picture of what was not asked for")
	}
	again := must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "at": at, "draws": 2000, "pictures": allPictures, "phone": true})
	if !reflect.DeepEqual(again, got) {
		t.Error("asked again, the answer differs")
	}
	// Without a frame it is the start of the race.
	if start := must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "draws": 2000}); start.Timing.Frame != 25 || len(start.Pictures) != 0 {
		t.Errorf("without a frame: frame %d, %d pictures", start.Timing.Frame, len(start.Pictures))
	}
}

// TestTimingOfAWhatIf: nearer is never later, and what is shown before the change is
// what is shown without it.
func TestTimingOfAWhatIf(t *testing.T) {
	b, path, touch := onTiming(t)
	ask := object{"touch": touch, "at": object{"take": "live", "frame": 40}, "draws": 2000, "map": true, "pictures": allPictures}
	plain := must[TimingAnswer](b, http.MethodPost, path, ask)
	ask["what_if"] = object{"who": "left", "closer_m": 0.05}
	got := must[TimingAnswer](b, http.MethodPost, path, ask)
	if got.Timing.WhatIf == nil || got.Timing.WhatIf.Finding == "" || len(got.Timing.WhatIf.Differences) == 0 {
		t.Fatalf("what-if %+v", got.Timing.WhatIf)
	}
	if !reflect.DeepEqual(got.Timing.Race, plain.Timing.Race) || !reflect.DeepEqual(got.Timing.Windows, plain.Timing.Windows) {
		t.Error("a what-if changed what is")
	}
	if plain.Timing.Map == nil || !strings.HasPrefix(plain.Pictures[string(picMap)], "<svg") {
		t.Error("no map where one was asked for")
	}
	if !strings.HasPrefix(got.Pictures[string(picWhatIf)], "<svg") {
		t.Error("no picture of the change")
	}
	for _, d := range got.Timing.WhatIf.Differences {
		if d.Was.Text == "" || d.Then.Text == "" {
			t.Errorf("a difference without numbers: %+v", d)
		}
	}
}

// TestTimingOfASlider: asked for the change alone, the change is the same and nothing
// else comes.
func TestTimingOfASlider(t *testing.T) {
	b, path, touch := onTiming(t)
	ask := object{"touch": touch, "at": object{"take": "live", "frame": 40}, "draws": 500, "what_if": object{"who": "right", "earlier_s": 0.03}, "pictures": []TimingPicture{picWhatIf}}
	whole := must[TimingAnswer](b, http.MethodPost, path, ask)
	ask["what_if_only"] = true
	got := must[TimingAnswer](b, http.MethodPost, path, ask)
	if !reflect.DeepEqual(got.Timing.WhatIf, whole.Timing.WhatIf) || !reflect.DeepEqual(got.Pictures, whole.Pictures) || len(got.Pictures) != 1 {
		t.Error("the change alone is another one")
	}
	if x := got.Timing; x.Race != nil || x.Windows != nil || x.Parry != nil || x.Started != nil || len(x.Bodies)+len(x.Notes)+len(got.Profiles) > 0 {
		t.Errorf("more than the change: %+v", x)
	}
}

// TestTimingRefusals: each bad question is told in one line what is wrong with it and
// how to mend it, and costs nothing else.
func TestTimingRefusals(t *testing.T) {
	b, path, touch := onTiming(t)
	frame := func(take string, f int) object { return object{"take": take, "frame": f} }
	for name, c := range map[string]struct {
		change object
		status int
		told   string
	}{
		"a frame after the take":   {object{"at": frame("live", 100)}, 422, "100"},
		"a frame before the take":  {object{"at": frame("live", -1)}, 422, "-1"},
		"a take that is not there": {object{"at": frame("nowhere", 5)}, 422, "nowhere"},
		"300 m closer":             {object{"what_if": object{"who": "left", "closer_m": 300}}, 422, "300"},
		"an hour earlier":          {object{"what_if": object{"who": "left", "earlier_s": -3600}}, 422, "3600"},
		"an arm of a metre more":   {object{"what_if": object{"who": "right", "longer_m": 1e308}}, 422, "1e+308"},
		"a target that is none":    {object{"what_if": object{"who": "right", "target": "shadow"}}, 422, "shadow"},
		"nobody's change":          {object{"what_if": object{"who": "referee", "closer_m": 0.1}}, 422, "left, right"},
		"a picture that is none":   {object{"pictures": []string{"portrait"}}, 422, "windows"},
		"too many draws":           {object{"draws": maxLiveDraws + 1}, 422, "draws"},
		"too few draws":            {object{"draws": 1}, 422, "draws"},
	} {
		t.Run(name, func(t *testing.T) {
			body := object{"draws": 500, "at": frame("live", 40)}
			for k, v := range c.change {
				body[k] = v
			}
			body["touch"] = touch
			got := (&bench{b.Server, b.lib, b.reel, t}).refused(c.status, http.MethodPost, path, body)
			said := got.Detail
			for _, e := range got.Errors {
				said += " " + e.Message + " " + e.Location
			}
			if !strings.Contains(said, c.told) || strings.Contains(said, "\n") {
				t.Errorf("%q does not name %q in one line", said, c.told)
			}
		})
	}
	// What JSON cannot say is not a number either.
	for _, bad := range []string{`{"touch":{},"at":{"take":"live","frame":NaN}}`, `{"touch":{},"what_if":{"who":"left","closer_m":NaN}}`, `{"touch":{},"what_if":{"who":"left","closer_m":1e999}}`} {
		if w := b.ask(http.MethodPost, path, bad); w.Code < 400 || w.Code >= 500 {
			t.Errorf("%s: %d %s", bad, w.Code, w.Body)
		}
	}
	b.refused(http.StatusNotFound, http.MethodPost, "/api/touches/nothing/timing", object{"touch": touch})
}

// TestTimingOfAFrameWithoutMarks says what is lacking and what would mend it.
func TestTimingOfAFrameWithoutMarks(t *testing.T) {
	b, path, touch := onTiming(t)
	touch.Marks, touch.Placings = []mark.Mark{}, []study.Placing{}
	got := must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "at": object{"take": "live", "frame": 40}, "pictures": allPictures, "map": true})
	if x := got.Timing; x == nil || x.Race != nil || x.Windows != nil || len(x.Lacks) == 0 || x.Lacks[0].Why == "" || x.Lacks[0].Mend == "" {
		t.Errorf("timing %+v", got.Timing)
	}
	if len(got.Pictures) != 0 {
		t.Errorf("%d pictures of nothing", len(got.Pictures))
	}
}

// TestOneReadingServesManyQuestions: frames and sliders are asked of the reading that
// is there; a mark that moves makes another.
func TestOneReadingServesManyQuestions(t *testing.T) {
	b, path, touch := onTiming(t)
	var mu sync.Mutex
	reads := 0
	read := b.read
	b.read = func(ctx context.Context, t *study.Touch, footage study.Footage, o study.ReadOptions) (*study.Reading, error) {
		mu.Lock()
		reads++
		mu.Unlock()
		return read(ctx, t, footage, o)
	}
	ask := func(touch study.Touch, frame int, closer float64) {
		t.Helper()
		must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "draws": 500, "at": object{"take": "live", "frame": frame}, "what_if": object{"who": "left", "closer_m": closer}})
	}
	var all sync.WaitGroup
	for i := range 12 {
		all.Add(1)
		go func() {
			defer all.Done()
			ask(touch, []int{10, 25, 40}[i%3], 0.01*float64(i))
		}()
	}
	all.Wait()
	if reads != 1 {
		t.Errorf("%d readings of one touch", reads)
	}
	moved := touch
	moved.Marks = slices.Clone(touch.Marks)
	moved.Marks[0].At.U -= 3
	ask(moved, 40, 0)
	ask(touch, 40, 0)
	if reads != 2 {
		t.Errorf("%d readings of two states", reads)
	}
	// The bout on the shelf is part of what is read.
	for i := range readingsKept + 2 {
		moved.Marks[0].At.U = float64(i)
		moved.Marks = slices.Clone(moved.Marks)
		ask(moved, 40, 0)
	}
	if len(b.readings.all) > readingsKept {
		t.Errorf("%d readings kept", len(b.readings.all))
	}
}

// FuzzTiming: whatever a window asks of whatever touch, the server answers, and never
// with a fault of its own.
func FuzzTiming(f *testing.F) {
	b, path, touch := onTiming(f)
	good, err := json.Marshal(object{"touch": touch, "draws": 100, "at": object{"take": "live", "frame": 40}, "what_if": object{"who": "left", "closer_m": 0.05}, "pictures": allPictures})
	if err != nil {
		f.Fatal(err)
	}
	for _, change := range [][2]string{
		{"", ""}, {`"at":{"u":`, `"at":{"u":1e300,"w":`}, {`"frame":40`, `"frame":-40`}, {`"frame":40`, `"frame":55`}, {`"take":"live"`, `"take":""`},
		{`"closer_m":0.05`, `"closer_m":-1e308`}, {`"closer_m":0.05`, `"earlier_s":0.5,"longer_m":-0.3,"target":"foot"`}, {`"who":"left"`, `"who":"right"`},
		{`"what":"point"`, `"what":"guard"`}, {`"what":"front-toe"`, `"what":"free"`}, {`"touch":{`, `"touch":{"attacker":"left",`}, {`"touch":{`, `"touch":{"dismissed":["",""],`},
		{`"onset":{`, `"onset":{"kind":"reaction","choices":9`}, {`"action":"lunge"`, `"action":"retreat"`}, {`"action":"lunge"`, `"action":"none"`}, {`"after_frame":9`, `"after_frame":8`},
		{`"to":99`, `"to":99,"factor":1e-300`}, {`"to":99`, `"to":99,"offset_s":1e308`},
	} {
		f.Add(strings.ReplaceAll(string(good), change[0], change[1]))
	}
	f.Add(`{"touch":{}}`)
	f.Fuzz(func(t *testing.T, body string) {
		if len(body) > 1<<17 || strings.Contains(body, `"draws":1000`) {
			return // as good with a hundred
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

// BenchmarkTiming is a slider that moves, and the frame that is looked at, with the
// default draws and pictures.
func BenchmarkTiming(bm *testing.B) {
	b, path, touch := onTiming(bm)
	at := object{"take": "live", "frame": mark.Frame(40)}
	bm.Run("slider", func(bm *testing.B) {
		for i := 0; bm.Loop(); i++ {
			must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "at": at, "phone": true, "pictures": []TimingPicture{picWhatIf}, "what_if_only": true, "what_if": object{"who": "left", "closer_m": 0.0001 * float64(1+i)}})
		}
	})
	bm.Run("frame", func(bm *testing.B) {
		for i := 0; bm.Loop(); i++ {
			next := touch
			next.Marks = slices.Clone(touch.Marks)
			next.Marks[0].At.U += 0.25 * float64(i%40)
			must[TimingAnswer](b, http.MethodPost, path, object{"touch": next, "at": at, "phone": true, "pictures": []TimingPicture{picWindows, picParry, picStand, picStarted, picFits}})
		}
	})
	bm.Run("map", func(bm *testing.B) {
		for i := 0; bm.Loop(); i++ {
			must[TimingAnswer](b, http.MethodPost, path, object{"touch": touch, "at": object{"take": "live", "frame": 10 + 15*(i%5)}, "phone": true, "map": true, "pictures": []TimingPicture{picMap}})
		}
	})
}
