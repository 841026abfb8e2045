package study

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"mesure/measure/track"
	"mesure/quantity"
	"mesure/sport/mark"
)

// Shares of the progress of a take: the camera, and the points.
const (
	cameraShare = 0.6
	// onwardMost is how many frames a point is followed beyond its last mark, or
	// before its first: nothing at the other end checks it.
	onwardMost = 40
)

// Follow follows the camera and the marked points through the takes of a touch and
// returns what it found, in pixels. What an earlier following holds and the touch
// still asks for is taken over as it stands, so that a correction costs only the
// bridges that it touches.
//
// Equal touches and videos give equal followings, however they came about. Nothing
// of the touch is changed.
//
// Errors: *Refusal as Read gives it for the frames and the videos; the errors of the
// footage; the error of ctx. What cannot be followed is no error: it is lost, and a
// warning says what would mend it.
func Follow(ctx context.Context, t *Touch, footage Unreeler, o FollowOptions) (*Following, error) {
	progress := func(what string, share float64) {
		if o.Progress != nil {
			o.Progress(what, share)
		}
	}
	clips, err := probeAll(ctx, t, footage, ReadOptions{Path: o.Path})
	if err != nil {
		return nil, err
	}
	if err := checkFrames(t, clips); err != nil {
		return nil, err
	}
	out := &Following{Version: FollowVersion}
	var takes []mark.Take
	for _, k := range t.Takes {
		if len(o.Takes) == 0 || slices.Contains(o.Takes, k.ID) {
			takes = append(takes, k)
		} else if old, ok := o.Before.take(k.ID); ok {
			out.Takes = append(out.Takes, old)
		}
	}
	total, done := 0.0, 0.0
	for _, k := range takes {
		total += float64(k.To - k.From + 1)
	}
	for _, k := range takes {
		v, _ := t.Video(k.Video)
		f := &follower{t: t, take: k, video: v, clip: clips[k.Video], footage: footage, path: o.Path}
		size := float64(k.To - k.From + 1)
		f.progress = func(what string, share float64) {
			progress("take "+k.ID+": "+what, (done+share*size)/total)
		}
		f.old, _ = o.Before.take(k.ID)
		got, err := f.follow(ctx)
		if err != nil {
			return nil, err
		}
		out.Takes = append(out.Takes, got)
		done += size
	}
	slices.SortFunc(out.Takes, func(a, b FollowedTake) int { return t.takeOrder(a.Take) - t.takeOrder(b.Take) })
	progress("done", 1)
	return out, nil
}

// take returns the part of a following that is of this take and of this version.
func (f *Following) take(id string) (FollowedTake, bool) {
	if f == nil || f.Version != FollowVersion {
		return FollowedTake{}, false
	}
	for _, k := range f.Takes {
		if k.Take == id {
			return k, true
		}
	}
	return FollowedTake{}, false
}

// keys names what is in a following: equal keys are equal pictures and marks.
func (f *Following) keys() []string {
	if f == nil {
		return nil
	}
	all := []string{f.Version}
	for _, k := range f.Takes {
		all = append(all, k.Take, k.Key)
		for _, b := range k.Bridges {
			all = append(all, b.Key)
		}
	}
	return all
}

// holds returns the part of a following that is of this take as the touch has it now.
func (f *Following) holds(t *Touch, k mark.Take, clip mark.Clip) (FollowedTake, bool) {
	got, ok := f.take(k.ID)
	if !ok {
		return got, false
	}
	v, _ := t.Video(k.Video)
	return got, got.Key == linkKey(t, k, v, clip)
}

func (t *Touch) takeOrder(id string) int {
	return slices.IndexFunc(t.Takes, func(k mark.Take) bool { return k.ID == id })
}

// follower follows one take.
type follower struct {
	t        *Touch
	take     mark.Take
	video    Video
	clip     mark.Clip
	footage  Unreeler
	path     func(Video) (string, error)
	progress func(what string, share float64)
	old      FollowedTake

	greys Greys // opened when first needed
}

func (f *follower) follow(ctx context.Context) (FollowedTake, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	defer func() {
		if f.greys != nil {
			_ = f.greys.Close()
		}
	}()
	out := FollowedTake{Take: f.take.ID, Key: linkKey(f.t, f.take, f.video, f.clip)}
	if f.old.Key == out.Key {
		old := f.old
		out.Links, out.Cuts, out.Graphics, out.Lost, out.Warnings = old.Links, old.Cuts, old.Graphics, old.Lost, old.Warnings
	} else if err := f.camera(ctx, &out); err != nil {
		return out, err
	}
	err := f.points(ctx, &out)
	return out, err
}

// film opens the take when it is first asked for a frame.
func (f *follower) film(ctx context.Context) (track.Film, error) {
	if f.greys != nil {
		return f.greys, nil
	}
	path := f.video.File
	if f.path != nil {
		p, err := f.path(f.video)
		if err != nil {
			return nil, err
		}
		path = p
	}
	g, err := f.footage.Unreel(ctx, path, f.clip, f.take.From, f.take.To)
	if err != nil {
		return nil, err
	}
	f.greys = g
	return g, nil
}

// camera follows the background.
func (f *follower) camera(ctx context.Context, out *FollowedTake) error {
	film, err := f.film(ctx)
	if err != nil {
		return err
	}
	fencers := boxesOf(f.t, f.take, f.clip)
	b, err := track.FollowBackground(ctx, film, f.take.From, f.take.To, track.BackgroundOptions{
		Near:     fencers.at,
		Progress: func(share float64) { f.progress("following the camera", cameraShare*share) },
	})
	if err != nil {
		return err
	}
	for _, l := range b.Links {
		k := Link{From: l.From, To: l.To, SD: rounded(float64(l.SD), 1e-4)}
		for _, m := range l.Matches {
			k.Matches = append(k.Matches, LinkMatch{rounded(m.From.U, 1e-3), rounded(m.From.V, 1e-3), rounded(m.To.U, 1e-3), rounded(m.To.V, 1e-3)})
		}
		out.Links = append(out.Links, k)
	}
	out.Cuts, out.Graphics = b.Cuts, b.Graphics
	for _, r := range b.Lost {
		out.Lost = append(out.Lost, Stretch{r.From, r.To, r.Why})
	}
	out.Warnings = f.doubts(b)
	return nil
}

// rounded keeps a following small and equal on every machine.
func rounded(x, step float64) float64 {
	r := math.Round(x/step) * step
	return math.Round(r*1e6) / 1e6
}

// Codes of the warnings of a following.
const (
	CodeCut        = "cut"
	CodeStill      = "nothing-moves"
	CodeBackground = "background-lost"
)

// doubts says what the camera's following met.
func (f *follower) doubts(b *track.Background) []Warning {
	var ws []Warning
	for _, c := range b.Cuts {
		at := float64(c)
		ws = append(ws, Warning{Code: CodeCut, About: view{f.take.ID, c}.String(), Doubt: at,
			Text: fmt.Sprintf("another scene begins with frame %d: end the take on frame %d, and make what follows a take of its own", c, c-1)})
	}
	if b.Still {
		ws = append(ws, Warning{Code: CodeStill, About: "take " + f.take.ID, Doubt: 1,
			Text: "every frame shows the same picture: is this a photograph, or a video that hangs?"})
	}
	for _, r := range b.Lost {
		n := int(r.To-r.From) + 1
		what := fmt.Sprintf("frames %d to %d", r.From, r.To)
		if n == 1 {
			what = fmt.Sprintf("frame %d", r.From)
		}
		ws = append(ws, Warning{Code: CodeBackground, About: "take " + f.take.ID + ", " + what, Doubt: float64(n),
			Text: fmt.Sprintf("the camera could not be followed on %s: %s. Where it matters, place the piste on a frame there (two points are enough)", what, r.Why)})
	}
	return ws
}

// lastFrame is the last frame that is followed: the one before the first cut.
func (f *follower) lastFrame(out *FollowedTake) mark.Frame {
	if len(out.Cuts) > 0 {
		return out.Cuts[0] - 1
	}
	return f.take.To
}

// points follows what is marked from mark to mark: first everything but the points of
// the blades, which are looked for from their guards.
func (f *follower) points(ctx context.Context, out *FollowedTake) error {
	wanted := wantedBridges(f.t, f.take, out.Key, f.lastFrame(out))
	ground := track.GroundOf(groundLinks(out.Links))
	total, done := 0, 0
	var blades, others []int
	for i, w := range wanted {
		old := slices.IndexFunc(f.old.Bridges, func(b Bridge) bool { return b.Who == w.Who && b.What == w.What && b.Key == w.Key })
		switch {
		case old >= 0:
			wanted[i].Bridge = f.old.Bridges[old]
			continue
		case w.What == mark.Point:
			blades = append(blades, i)
		default:
			others = append(others, i)
		}
		total++
	}
	// In order of time, so that frames that lie in a file are read once for all points.
	for _, group := range [][]int{others, blades} {
		slices.SortStableFunc(group, func(i, k int) int {
			return cmp.Compare(min(wanted[i].From, wanted[i].To), min(wanted[k].From, wanted[k].To))
		})
	}
	var lock sync.Mutex
	step := func() {
		lock.Lock()
		defer lock.Unlock()
		done++
		f.progress("following the points", cameraShare+(1-cameraShare)*float64(done)/float64(total))
	}
	if total > 0 {
		film, err := f.film(ctx)
		if err != nil {
			return err
		}
		for _, group := range [][]int{others, blades} {
			guards := guardsOf(f.t, f.take, wanted)
			err := eachOf(ctx, len(group), func(k int) error {
				defer step()
				w := &wanted[group[k]]
				return w.follow(ctx, f, film, ground, guards[w.Who])
			})
			if err != nil {
				return err
			}
		}
	}
	out.Bridges = nil
	for _, w := range wanted {
		out.Bridges = append(out.Bridges, w.Bridge)
	}
	return nil
}

// eachOf does work for each number below n on all cores, in their order, and returns the
// first error.
func eachOf(ctx context.Context, n int, work func(i int) error) error {
	workers := min(runtime.GOMAXPROCS(0), n)
	errs := make([]error, n)
	next := make(chan int)
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for k := range next {
				errs[k] = work(k)
			}
		})
	}
	for k := range n {
		if ctx.Err() != nil {
			break
		}
		next <- k
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func groundLinks(links []Link) []track.BackgroundLink {
	out := make([]track.BackgroundLink, len(links))
	for i, l := range links {
		out[i] = track.BackgroundLink{From: l.From, To: l.To, SD: quantity.Pixels(l.SD)}
		for _, m := range l.Matches {
			out[i].Matches = append(out[i].Matches, track.Match{From: mark.Pixel{U: m[0], V: m[1]}, To: mark.Pixel{U: m[2], V: m[3]}})
		}
	}
	return out
}
