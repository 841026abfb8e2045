package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// Followings keeps what was followed through the takes of touches from one run to
// the next. What it has can be found anew, so it tells no errors.
type Followings interface {
	Following(id study.ID) (KeptFollowing, bool)
	Keep(id study.ID, f KeptFollowing)
	Drop(id study.ID)
}

// KeptFollowing is a following, and of what it is.
type KeptFollowing struct {
	Following *study.Following `json:"following"`
	// Of has, for each take, a hash of what was followed there: the stretch and the
	// marks. A take whose hash is another now can be followed better.
	Of map[string]string `json:"of"`
}

// followsKept bounds the followings in memory: each is a megabyte or two.
const followsKept = 8

// follows has the work of following, touch by touch: one at a time goes on, one more
// may wait, and a newer one takes the place of the one that waits.
type follows struct {
	s *Server
	// gate lets one touch be followed at a time: following uses every core by itself.
	gate *gate
	mu   sync.Mutex
	of   map[study.ID]*following
	// lately names those whose following is in memory, the latest first.
	lately []study.ID
}

// following is what is known and done for one touch.
type following struct {
	going, waiting *job
	looked         bool // whether what was kept from an earlier run was looked for
	kept           KeptFollowing
}

func newFollows(s *Server) *follows {
	return &follows{s: s, gate: newGate(1), of: map[study.ID]*following{}}
}

// at returns the entry of a touch; f.mu is held.
func (f *follows) at(id study.ID) *following {
	x := f.of[id]
	if x == nil {
		x = &following{}
		f.of[id] = x
	}
	if !x.looked {
		x.looked = true
		if f.s.c.Followings != nil {
			if kept, ok := f.s.c.Followings.Following(id); ok && kept.Following != nil {
				x.kept = kept
			}
		}
	}
	f.lately = append([]study.ID{id}, slices.DeleteFunc(f.lately, func(o study.ID) bool { return o == id })...)
	for i := len(f.lately) - 1; i >= followsKept; i-- {
		old := f.lately[i]
		// What no disk keeps is kept here, however many there are.
		if o := f.of[old]; o.going == nil && o.waiting == nil && f.s.c.Followings != nil {
			delete(f.of, old)
			f.lately = slices.Delete(f.lately, i, i+1)
		}
	}
	return x
}

// kept is what was followed for a touch, and the work on it that goes on or waits.
func (f *follows) kept(id study.ID) (KeptFollowing, *Job) {
	f.mu.Lock()
	defer f.mu.Unlock()
	x := f.at(id)
	j := x.waiting
	if j == nil {
		j = x.going
	}
	if j == nil {
		return x.kept, nil
	}
	now := j.state()
	return x.kept, &now
}

// start follows a touch as it stands now, after the work on it that goes on.
func (f *follows) start(id study.ID, t *study.Touch, takes []string) *job {
	f.mu.Lock()
	defer f.mu.Unlock()
	x := f.at(id)
	if x.waiting != nil {
		x.waiting.cancel()
	}
	after := x.going
	about := t.Title
	if about == "" {
		about = "a touch"
	}
	begun := make(chan struct{})
	j := f.s.jobs.start(jobFollow, about, func(ctx context.Context, j *job) (string, error) {
		<-begun
		defer f.ended(id, j)
		if after != nil {
			select {
			case <-after.ended:
			case <-ctx.Done():
				return "", ctx.Err()
			}
		}
		leave, err := f.gate.wait(ctx)
		if err != nil {
			return "", err
		}
		defer leave()
		f.mu.Lock()
		if x.waiting == j {
			x.waiting, x.going = nil, j
		}
		before := x.kept.Following
		f.mu.Unlock()
		return string(id), f.run(ctx, j, id, t, takes, before)
	})
	j.of(id)
	x.waiting = j
	close(begun)
	return j
}

// run follows, and keeps what came of it: also of work that was ended half-way,
// where there is something.
func (f *follows) run(ctx context.Context, j *job, id study.ID, t *study.Touch, takes []string, before *study.Following) error {
	videos := f.s.footage()
	got, err := f.s.c.Follow(ctx, t, videos, study.FollowOptions{Path: videos.path(ctx), Before: before, Takes: takes,
		Progress: func(what string, share float64) { j.doing(what, share) }})
	if got == nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	x := f.of[id]
	if x == nil {
		return err // the touch was removed meanwhile
	}
	of := map[string]string{}
	maps.Copy(of, x.kept.Of)
	x.kept = KeptFollowing{Following: got, Of: of}
	for _, k := range t.Takes {
		if err == nil && (len(takes) == 0 || slices.Contains(takes, k.ID)) {
			x.kept.Of[k.ID] = followedOf(t, k)
		}
	}
	if f.s.c.Followings != nil {
		f.s.c.Followings.Keep(id, x.kept)
	}
	f.s.knowns.forget(id)
	f.s.turns.Add(1)
	return err
}

// ended takes note that a job is over.
func (f *follows) ended(id study.ID, j *job) {
	f.mu.Lock()
	defer f.mu.Unlock()
	x := f.of[id]
	if x == nil {
		return
	}
	if x.waiting == j {
		x.waiting = nil
	}
	if x.going == j {
		x.going = nil
	}
}

// drop ends the work on a touch that is gone, and forgets what came of it.
func (f *follows) drop(id study.ID) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if x := f.of[id]; x != nil {
		for _, j := range []*job{x.going, x.waiting} {
			if j != nil {
				j.cancel()
			}
		}
	}
	delete(f.of, id)
	f.lately = slices.DeleteFunc(f.lately, func(o study.ID) bool { return o == id })
	if f.s.c.Followings != nil {
		f.s.c.Followings.Drop(id)
	}
	f.s.knowns.forget(id)
	f.s.turns.Add(1)
}

// followedOf is a hash of what is followed through a take: its stretch of the video,
// the marks and where points are hidden. Placing the piste changes none of it.
func followedOf(t *study.Touch, k mark.Take) string {
	v, _ := t.Video(k.Video)
	of := struct {
		Video    string
		Fields   bool
		From, To mark.Frame
		Marks    []mark.Mark
		Hidden   []mark.Hidden
	}{Video: v.SHA256, Fields: v.Fields, From: k.From, To: k.To}
	for _, m := range t.Marks {
		if m.Take == k.ID {
			of.Marks = append(of.Marks, m)
		}
	}
	for _, h := range t.Hidden {
		if h.Take == k.ID {
			of.Hidden = append(of.Hidden, h)
		}
	}
	// The order in which the hand set them does not count.
	slices.SortFunc(of.Marks, func(a, b mark.Mark) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	slices.SortFunc(of.Hidden, func(a, b mark.Hidden) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	raw, err := json.Marshal(of)
	if err != nil {
		return "" // a mark that is no number; it never equals what was kept
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:16])
}

// follow begins to follow a touch as it stands on the desk.
func (s *Server) follow(ctx context.Context, in *inFollow) (*body[Job], error) {
	if s.c.Follow == nil {
		return nil, &unfit{"This program cannot follow points through a video. Nothing was changed."}
	}
	t, err := s.onDesk(ctx, in.ID, in.Body.Touch)
	if err != nil {
		return nil, err
	}
	for _, k := range in.Body.Takes {
		if _, ok := t.Take(k); !ok {
			return nil, &unfit{fmt.Sprintf("The touch has no take %q. Nothing was changed; load the page again.", k)}
		}
	}
	if err := s.indexed(ctx, t); err != nil {
		return nil, err
	}
	return &body[Job]{s.follows.start(in.ID, t, in.Body.Takes).state()}, nil
}
