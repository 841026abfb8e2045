package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"sync"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// follower stands for study.Follow: each call waits for its turn, and what it returns
// names how many marks it saw.
type follower struct {
	mu    sync.Mutex
	calls []followCall
	// turn lets one call end; nil ends each at once.
	turn chan error
	// asked tells of every call that has begun.
	asked chan int
}

type followCall struct {
	marks  int
	before *study.Following
	takes  []string
}

func (f *follower) follow(ctx context.Context, t *study.Touch, footage study.Footage, o study.FollowOptions) (*study.Following, error) {
	if _, err := footage.Probe(ctx, pathOf(o, t.Videos[0]), nil); err != nil {
		return nil, err
	}
	f.mu.Lock()
	f.calls = append(f.calls, followCall{len(t.Marks), o.Before, o.Takes})
	n := len(f.calls)
	f.mu.Unlock()
	o.Progress("following the camera", 0.25)
	if f.asked != nil {
		f.asked <- n
	}
	if f.turn != nil {
		select {
		case err := <-f.turn:
			if err != nil {
				return nil, err
			}
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	out := &study.Following{Version: study.FollowVersion}
	for _, k := range t.Takes {
		out.Takes = append(out.Takes, study.FollowedTake{Take: k.ID, Key: "k", Cuts: []mark.Frame{90}, Lost: []study.Stretch{{From: 70, To: 75, Why: "too little background"}}})
	}
	return out, nil
}

func pathOf(o study.FollowOptions, v study.Video) string {
	p, err := o.Path(v)
	if err != nil {
		panic(err)
	}
	return p
}

// memoryFollowings keeps followings as a disk would.
type memoryFollowings struct {
	mu sync.Mutex
	of map[study.ID][]byte
}

func (m *memoryFollowings) Following(id study.ID) (KeptFollowing, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var k KeptFollowing
	return k, m.of[id] != nil && json.Unmarshal(m.of[id], &k) == nil
}

func (m *memoryFollowings) Keep(id study.ID, k KeptFollowing) {
	raw, err := json.Marshal(k)
	if err != nil {
		panic(err)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.of[id] = raw
}

func (m *memoryFollowings) Drop(id study.ID) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.of, id)
}

// followBench puts a follower on a bench with a marked touch.
func followBench(t *testing.T, f *follower) (b *bench, at string, touch study.Touch, kept *memoryFollowings) {
	b, path, touch := onBench(t)
	kept = &memoryFollowings{of: map[study.ID][]byte{}}
	b.c.Follow, b.c.Followings = f.follow, kept
	return b, strings.TrimSuffix(path, "/reading"), touch, kept
}

func followedAs(b *bench, at string, touch study.Touch) *Followed {
	b.t.Helper()
	return must[Live](b, http.MethodPost, at+"/reading", object{"touch": touch, "following": object{}}).Followed
}

func TestFollowIsAJobWhoseResultIsKept(t *testing.T) {
	f := &follower{}
	b, at, touch, kept := followBench(t, f)
	if got := followedAs(b, at, touch); got == nil || len(got.Takes) != 1 || got.Takes[0].State != takeNone || got.Job != nil {
		t.Fatalf("before: %+v", got)
	}
	j := must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch})
	if j.Kind != jobFollow || j.Of == "" || !strings.HasSuffix(at, string(j.Of)) {
		t.Errorf("job %+v", j)
	}
	if j = b.ends(j.ID); j.State != jobDone || j.Doing != "following the camera" || j.Result != string(j.Of) {
		t.Fatalf("job %+v", j)
	}
	got := followedAs(b, at, touch)
	if k := got.Takes[0]; k.State != takeFollowed || len(k.Cuts) != 1 || k.Cuts[0] != 90 || len(k.Lost) != 1 || k.Lost[0].From != 70 {
		t.Errorf("after: %+v", k)
	}
	// A mark that moves makes it stale, a point of the piste that moves does not; nor
	// does the order of the marks.
	other := touch
	other.Marks = append([]mark.Mark{touch.Marks[len(touch.Marks)-1]}, touch.Marks[:len(touch.Marks)-1]...)
	other.Placings = append([]study.Placing{}, touch.Placings[1:]...)
	if k := followedAs(b, at, other).Takes[0]; k.State != takeFollowed {
		t.Errorf("the piste moved: %s", k.State)
	}
	other.Marks = append([]mark.Mark{}, touch.Marks...)
	other.Marks[3].At.U += 0.5
	if k := followedAs(b, at, other).Takes[0]; k.State != takeStale {
		t.Errorf("a mark moved: %s", k.State)
	}
	other.Marks = touch.Marks
	other.Hidden = []mark.Hidden{{Take: "live", Who: mark.Left, What: mark.Guard, From: 3, To: 4}}
	if k := followedAs(b, at, other).Takes[0]; k.State != takeStale {
		t.Errorf("a point was hidden: %s", k.State)
	}
	// What other rules followed is stale.
	kept.mu.Lock()
	whole := kept.of[j.Of]
	kept.of[j.Of] = []byte(strings.Replace(string(whole), `"version":"`+study.FollowVersion, `"version":"older`, 1))
	kept.mu.Unlock()
	b.follows = newFollows(b.Server)
	if k := followedAs(b, at, touch).Takes[0]; k.State != takeStale {
		t.Errorf("followed by other rules: %s", k.State)
	}
	kept.mu.Lock()
	kept.of[j.Of] = whole
	kept.mu.Unlock()
	// Another run of the server finds it again, and so does the next following.
	b.follows = newFollows(b.Server)
	if k := followedAs(b, at, touch).Takes[0]; k.State != takeFollowed {
		t.Errorf("after a restart: %s", k.State)
	}
	b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": other, "takes": []string{"live"}}).ID)
	if last := f.calls[len(f.calls)-1]; last.before == nil || len(last.takes) != 1 {
		t.Errorf("followed again from %+v", last)
	}
	d := must[TouchPaper](b, http.MethodGet, at, nil)
	b.ask(http.MethodDelete, at+"?base=1", nil)
	if len(kept.of) != 0 {
		t.Errorf("the touch %s is gone, what was followed is kept", d.Stamp.ID)
	}
}

// TestOneFollowingATouch: while one goes on another waits, and a third takes the place
// of the one that waits.
func TestOneFollowingATouch(t *testing.T) {
	f := &follower{turn: make(chan error), asked: make(chan int, 9)}
	b, at, touch, _ := followBench(t, f)
	ask := func(marks int) Job {
		c := touch
		c.Marks = touch.Marks[:marks]
		return must[Job](b, http.MethodPost, at+"/follow", object{"touch": c})
	}
	one := ask(10)
	<-f.asked
	two, three := ask(20), ask(30)
	if j := b.ends(two.ID); j.State != jobCancelled {
		t.Errorf("the one that waited: %+v", j)
	}
	if got := followedAs(b, at, touch); got.Job == nil || got.Job.ID != three.ID {
		t.Errorf("the work on it is %+v", got.Job)
	}
	f.turn <- nil
	if j := b.ends(one.ID); j.State != jobDone {
		t.Errorf("the first: %+v", j)
	}
	<-f.asked
	f.turn <- nil
	if j := b.ends(three.ID); j.State != jobDone {
		t.Errorf("the last: %+v", j)
	}
	if len(f.calls) != 2 || f.calls[0].marks != 10 || f.calls[1].marks != 30 || f.calls[1].before == nil {
		t.Errorf("calls %+v", f.calls)
	}
}

// TestAFollowingThatIsCancelledKeepsWhatWas: and one that fails says why.
func TestAFollowingThatIsCancelledKeepsWhatWas(t *testing.T) {
	f := &follower{turn: make(chan error), asked: make(chan int, 9)}
	b, at, touch, _ := followBench(t, f)
	go func() { f.turn <- nil }()
	b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch}).ID)
	<-f.asked
	j := must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch})
	<-f.asked
	b.ask(http.MethodDelete, "/api/jobs/"+j.ID, nil)
	if j = b.ends(j.ID); j.State != jobCancelled {
		t.Errorf("%+v", j)
	}
	go func() { f.turn <- errors.New("the picture is black") }()
	j = b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch}).ID)
	if j.State != jobFailedWord || j.Trouble == "" {
		t.Errorf("%+v", j)
	}
	if k := followedAs(b, at, touch).Takes[0]; k.State != takeFollowed {
		t.Errorf("what was followed before is %s", k.State)
	}
}

func TestFollowRefusals(t *testing.T) {
	b, at, touch, _ := followBench(t, &follower{})
	b.refused(http.StatusNotFound, http.MethodPost, "/api/touches/nothing/follow", object{"touch": touch})
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, at+"/follow", object{"touch": touch, "takes": []string{"nowhere"}})
	b.c.Follow = nil
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, at+"/follow", object{"touch": touch})
}

// TestTracesComeWhenAsked: the following goes into the reading, and what the reading
// has of it comes out for the take and point that were asked for.
func TestTracesComeWhenAsked(t *testing.T) {
	b, at, touch, _ := followBench(t, &follower{})
	b.ends(must[Job](b, http.MethodPost, at+"/follow", object{"touch": touch}).ID)
	b.read = func(ctx context.Context, t *study.Touch, footage study.Footage, o study.ReadOptions) (*study.Reading, error) {
		r, err := study.Read(ctx, t, footage, o)
		if err != nil || o.Following == nil || len(o.Following.Takes) != 1 || o.Following.Takes[0].Key != "k" {
			return r, err
		}
		k := study.Track{Take: "live", Who: mark.Left, What: mark.Guard}
		for f := range 20 {
			k.Steps = append(k.Steps, study.TrackStep{Frame: mark.Frame(10 + f), At: quantity.Seconds(f) / 25, State: study.StateFollowed, Px: mark.Pixel{U: float64(f), V: 9}, SD: 1, Sure: 1,
				Speed: quantity.Normal[quantity.MetresPerSecond](1.5, 0.2)})
		}
		r.Tracks = []study.Track{k}
		if o.Grids == "live" {
			r.Followed = []study.FollowedFrame{{Take: "live", Frame: 11, Floor: 0.02, Grid: []study.GridLine{{Name: "centre", Points: []mark.Pixel{{U: 1, V: 2}, {U: 3, V: 4}}}}}}
		}
		return r, nil
	}
	ask := func(what object) *Followed {
		return must[Live](b, http.MethodPost, at+"/reading", object{"touch": touch, "following": what}).Followed
	}
	if got := ask(object{}); got.Traces != nil || got.Motion != nil {
		t.Error("traces that nobody asked for")
	}
	got := ask(object{"take": "live", "who": "left", "what": "guard"})
	if got.Traces == nil || len(got.Traces.Tracks) != 1 || len(got.Traces.Grids) != 1 || got.Motion == nil || !strings.HasPrefix(got.Motion.SVG, "<svg") ||
		len(got.Motion.X) != 20 || got.Motion.Speeds[3] != "1.5\u00a0±\u00a00.2\u00a0m/s" || got.Motion.From != 10 {
		t.Errorf("%+v", got)
	}
	if got := ask(object{"take": "live", "who": "right", "what": "guard"}); got.Motion != nil || got.Traces == nil {
		t.Error("the movement of another point")
	}
	if l := must[Live](b, http.MethodPost, at+"/reading", object{"touch": touch}); l.Followed != nil {
		t.Error("a following that nobody asked for")
	}
}
