package web

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// TestTouchesOfABoutKnowEachOther: what was followed in one touch goes into the readings
// of the others, is read for that once, and anew where that touch, its bout or its
// following is another. A touch that was not followed is not read at all.
func TestTouchesOfABoutKnowEachOther(t *testing.T) {
	f := &follower{}
	b, at, touch, _ := followBench(t, f)
	one := must[TouchPaper](b, http.MethodGet, at, nil)
	paper := must[BoutPaper](b, http.MethodGet, "/api/bouts/"+string(one.Bout), nil)
	sheet := lines(paper.Media[0].SHA256, "one", "two", "three")
	saved := must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(one.Bout), save(paper.Stamp.Revision, "record", sheet))
	two := must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/two/touch", one.Bout), nil)
	must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/three/touch", one.Bout), nil)

	var mu sync.Mutex
	forFits := 0
	var last [2][]study.Fit
	read := b.read
	b.read = func(ctx context.Context, tt *study.Touch, footage study.Footage, o study.ReadOptions) (*study.Reading, error) {
		mu.Lock()
		defer mu.Unlock()
		last = o.Known
		r, err := read(ctx, tt, footage, o)
		if o.Draws == fewDraws && err == nil {
			forFits++
			r.Profiles[mark.Left].Fits = []study.Fit{{Action: "lunge", Take: "live", From: 10, To: 30}}
		}
		return r, err
	}
	here := "/api/touches/" + string(two.Stamp.ID)
	ask := func(wantReads, wantFits int, why string) {
		t.Helper()
		must[Live](b, http.MethodPost, here+"/reading", object{"touch": two.Touch, "draws": 500})
		if forFits != wantReads || len(last[mark.Left]) != wantFits || len(last[mark.Right]) != 0 {
			t.Errorf("%s: %d readings for their fits, want %d; %d fits known, want %d", why, forFits, wantReads, len(last[mark.Left]), wantFits)
		}
	}
	ask(0, 0, "nothing was followed")
	b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch}).ID)
	ask(1, 1, "the first touch was followed")
	ask(1, 1, "asked again")
	if got := must[TimingAnswer](b, http.MethodPost, here+"/timing", object{"touch": two.Touch, "draws": 500}); got.Timing == nil || len(last[mark.Left]) != 1 || last[mark.Left][0].Touch == "" {
		t.Errorf("the timing knows %+v of the other touch", last)
	}
	// A touch does not learn from itself as from another.
	must[Live](b, http.MethodPost, at+"/reading", object{"touch": touch, "draws": 500})
	if len(last[mark.Left]) != 0 {
		t.Error("a touch knows its own movements twice")
	}
	touch.Marks = touch.Marks[1:]
	must[TouchPaper](b, http.MethodPut, at, object{"base": one.Stamp.Revision, "gesture": "remove a mark", "touch": touch})
	ask(2, 1, "the touch was changed")
	b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch}).ID)
	ask(3, 1, "it was followed anew")
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(one.Bout), save(saved.Stamp.Revision, "rename", sheet))
	ask(4, 1, "the bout was changed")
	b.ask(http.MethodDelete, at+"?base=2", nil)
	ask(4, 0, "the touch is gone")
}
