package track

import (
	"context"
	"errors"
	"image"
	"math"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/mark"
)

// BackgroundOptions of FollowBackground. The zero value takes the defaults.
type BackgroundOptions struct {
	// Near says which parts of a frame do not belong to the background, such as the
	// fencers; nil leaves that to what moves otherwise.
	Near func(f mark.Frame) []image.Rectangle
	// Progress is called with the share that is done; nil asks for none.
	Progress func(share float64)
}

// Limits of FollowBackground.
const (
	// refEvery is how many frames one set of corners serves at most. The fewer sets,
	// the fewer links of the chain whose errors add; the longer, the less a corner
	// looks like itself.
	refEvery = 12
	// keepShare of the corners must still be followed, or new ones are looked for.
	keepShare = 0.55
	// agreeShare of the corners that were followed must go together, else it is not
	// the background that moved.
	agreeShare = 0.35
	// leastShare of the corners found must have been followed at all.
	leastShare = 0.25
	// mostOdd is on how many frames in a row a corner may move otherwise before it is
	// given up.
	mostOdd = 3
	// stillReach is how far a corner may move, in pixels, while the camera stands.
	stillReach = 0.75
	// mostSkipped is how many frames in a row (flashes, damaged ones) may be passed
	// over without giving the corners up.
	mostSkipped = 8
	// linkMatches is how many points state a link.
	linkMatches = 16
	// linkTogether is by how much errors of neighbouring corners go together; see
	// noiseTogether.
	linkTogether = 2.0
	// leastLinkSD of a corner in pixels: pictures are sampled and compressed.
	leastLinkSD = 0.04
)

// BackgroundLink says how the picture turned between two frames: a few points of
// the background, laid on the turn that all followed points agree on.
type BackgroundLink struct {
	From, To mark.Frame
	Matches  []Match
	// SD of each match in pixels, such that the few say what all said.
	SD quantity.Pixels
	// Agreed of Followed corners made the turn.
	Agreed, Followed int
}

// Run is a stretch of frames, both ends in it, and why it is named.
type Run struct {
	From, To mark.Frame
	Why      string
}

// Background is how the picture of a take turned from frame to frame.
type Background struct {
	// Links lead from a frame with corners to each of the frames after it, up to and
	// including the next frame with corners.
	Links []BackgroundLink
	// Cuts are frames with which another scene begins; what follows the first is not
	// followed.
	Cuts []mark.Frame
	// Graphics do not move with the background.
	Graphics []image.Rectangle
	// Lost are frames to which no link leads.
	Lost []Run
	// Still is true where nothing at all moved: a photograph as a video.
	Still bool
}

// Reasons of a Run.
const (
	WhyFlat    = "there is too little on the background to follow"
	WhyUnlike  = "too few points of the background go together"
	WhyDamaged = "the picture is damaged"
)

// FollowBackground follows the background through the frames from and to and all
// between: corners are found on a frame, followed from it to each frame after it
// (Follow; always from the first picture, so that errors do not add), and the turn
// that most agree on is kept (FindTurn); after refEvery frames, or when too many are
// lost, new corners are found. A frame to which no turn leads is passed over, and
// after mostSkipped such frames the chain begins anew without a link. A cut, where
// the whole picture changes and stays changed, ends it.
//
// Equal pictures give equal results. Errors: of film, where it gives no frame at all
// (single damaged frames are passed over), and of ctx.
func FollowBackground(ctx context.Context, film Film, from, to mark.Frame, o BackgroundOptions) (*Background, error) {
	f := &backgroundRun{film: film, o: o, out: &Background{}, last: to, still: true}
	if err := f.lookAhead(ctx, from, to); err != nil {
		return nil, err
	}
	for i := from; i <= to; i++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		ended, err := f.frame(i)
		if err != nil {
			return nil, err
		}
		if ended {
			break
		}
		if o.Progress != nil {
			o.Progress(float64(i-from+1) / float64(to-from+1))
		}
	}
	f.out.Graphics = f.graphics.boxes()
	f.out.Still = f.still && to > from && len(f.out.Links) > 0
	f.out.Lost = f.lost.runs
	return f.out, nil
}

// lookAhead shows frames of the whole take to the search for graphics.
func (f *backgroundRun) lookAhead(ctx context.Context, from, to mark.Frame) error {
	var frames []*image.Gray
	for k := range mark.Frame(lookedAt) {
		i := from + k*(to-from)/(lookedAt-1)
		g, err := f.film.Gray(i)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err == nil && (len(frames) == 0 || g.Rect == frames[0].Rect) {
			frames = append(frames, g)
		}
	}
	f.graphics.lookAhead(frames)
	return nil
}

// corner is one point that is followed.
type corner struct {
	at, now mark.Pixel // on the frame of reference, and on the last frame
	gone    bool
	odd     int // frames in a row on which it moved otherwise than the background
}

type backgroundRun struct {
	film Film
	o    BackgroundOptions
	out  *Background
	last mark.Frame

	ref, now *Pyramid // of the frame of reference, and of the frame at hand
	refGray  *image.Gray
	refFrame mark.Frame // −1 before there is one
	corners  []corner
	found    int // corners on the frame of reference
	skipped  int
	seen     thumb // the last frame that was followed
	graphics graphics
	lost     runs
	still    bool
}

// frame takes one frame in. ended says that a cut ended the take before it.
func (f *backgroundRun) frame(i mark.Frame) (ended bool, err error) {
	g, err := f.film.Gray(i)
	if err != nil {
		if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
			return false, err
		}
		f.pass(i, WhyDamaged)
		if f.ref == nil && i == f.last {
			return false, err // not one frame could be read
		}
		return false, nil
	}
	small := thumbOf(g)
	f.now = f.now.Refill(g)
	f.graphics.over(g.Rect)
	if f.ref == nil || f.refFrame < 0 {
		f.begin(i, small, g)
		return false, nil
	}
	turn, matches, why := f.turn(i, f.graphics.stands(f.refGray, g))
	if turn == nil {
		if !small.like(f.seen) && f.changedForGood(i) {
			f.out.Cuts = append(f.out.Cuts, i)
			return true, nil
		}
		f.pass(i, why)
		if f.skipped >= mostSkipped {
			f.begin(i, small, g)
		}
		return false, nil
	}
	f.skipped = 0
	f.still = f.still && small.same(f.seen)
	f.seen = small
	f.out.Links = append(f.out.Links, linkOf(f.refFrame, i, turn, matches))
	if i-f.refFrame >= refEvery || len(turn.Inliers) < int(keepShare*float64(f.found)) {
		f.begin(i, small, g)
		f.lost.take(i) // a link leads to it
	}
	return false, nil
}

// begin makes the frame at hand the one of reference.
func (f *backgroundRun) begin(i mark.Frame, small thumb, g *image.Gray) {
	f.ref, f.now = f.now, f.ref
	f.refGray = g
	f.refFrame, f.skipped, f.seen = i, 0, small
	var near []image.Rectangle
	if f.o.Near != nil {
		near = f.o.Near(i)
	}
	masked := func(u, v int) bool {
		p := image.Pt(u, v)
		for _, r := range near {
			if p.In(r) {
				return true
			}
		}
		return f.graphics.at(u, v)
	}
	f.corners = f.corners[:0]
	for _, c := range spreadCorners(f.ref.Levels[0], masked) {
		f.corners = append(f.corners, corner{at: c, now: c})
	}
	f.found = len(f.corners)
	if f.found < LeastMatches {
		f.lost.add(i, WhyFlat)
		f.refFrame = -1
	}
}

// pass leaves a frame out.
func (f *backgroundRun) pass(i mark.Frame, why string) {
	f.skipped++
	f.lost.add(i, why)
}

// turn follows the corners to the frame at hand. Where the camera stands still only
// what stays, nearly, can be background, however much else moves together.
func (f *backgroundRun) turn(i mark.Frame, stands bool) (*Turn, []Match, string) {
	var points, guess []mark.Pixel
	var which []int
	for k, c := range f.corners {
		if !c.gone {
			points, guess, which = append(points, c.at), append(guess, c.now), append(which, k)
		}
	}
	followed := Follow(f.ref, f.now, points, guess, FollowOptions{})
	var matches []Match
	var of []int
	for k, p := range followed {
		if stands && math.Hypot(p.At.U-points[k].U, p.At.V-points[k].V) > stillReach {
			continue
		}
		if p.Lost == Kept {
			matches, of = append(matches, Match{points[k], p.At}), append(of, which[k])
		}
	}
	if len(matches) < LeastMatches {
		return nil, nil, WhyUnlike
	}
	var turn *Turn
	var err error
	if stands {
		turn, err = shift(matches)
	} else {
		turn, err = FindTurn(matches, rand.NewPCG(uint64(f.refFrame), uint64(i)))
	}
	if err != nil || float64(len(turn.Inliers)) < agreeShare*float64(len(matches)) || !stands && float64(len(matches)) < leastShare*float64(f.found) {
		return nil, nil, WhyUnlike
	}
	// Only a turn that holds moves the corners on.
	agreed := make(map[int]bool, len(turn.Inliers))
	for _, k := range turn.Inliers {
		agreed[of[k]] = true
	}
	kept := make(map[int]mark.Pixel, len(of))
	for k, w := range of {
		kept[w] = matches[k].To
	}
	for k := range f.corners {
		c := &f.corners[k]
		at, ok := kept[k]
		switch {
		case c.gone:
		case agreed[k]:
			c.now, c.odd = at, 0
		default:
			ground := turn.At(c.at)
			if ok { // it moves otherwise: a fencer, someone who passes by, or a graphic
				f.graphics.odd(c.at, at, ground)
			} else {
				at = ground
			}
			c.now = at
			c.odd++
			c.gone = c.odd >= mostOdd
		}
	}
	return turn, matches, ""
}

// changedForGood looks a few frames on: after a flash the old scene comes back.
func (f *backgroundRun) changedForGood(i mark.Frame) bool {
	const ahead = 4
	for k := mark.Frame(1); k <= ahead && i+k <= f.last; k++ {
		g, err := f.film.Gray(i + k)
		if err != nil {
			continue
		}
		if thumbOf(g).like(f.seen) {
			return false
		}
	}
	return true
}

// linkOf states a turn by a few of its matches, spread over the picture.
func linkOf(from, to mark.Frame, turn *Turn, matches []Match) BackgroundLink {
	pick := spread(matches, turn.Inliers, linkMatches)
	l := BackgroundLink{From: from, To: to, Agreed: len(turn.Inliers), Followed: len(matches)}
	for _, k := range pick {
		l.Matches = append(l.Matches, Match{matches[k].From, turn.At(matches[k].From)})
	}
	// RMS is of both directions together, and eight numbers were fitted.
	n := float64(len(turn.Inliers))
	sd := math.Max(leastLinkSD, float64(turn.RMS)/math.Sqrt2*math.Sqrt(2*n/math.Max(2*n-8, 1)))
	l.SD = quantity.Pixels(linkTogether * sd * math.Sqrt(float64(len(pick))/n))
	return l
}

// spread picks up to n of the matches so that they are far apart: the first is the
// one farthest from the middle, each next the one farthest from those picked.
func spread(matches []Match, in []int, n int) []int {
	if len(in) <= n {
		return in
	}
	var mu, mv float64
	for _, k := range in {
		mu += matches[k].From.U / float64(len(in))
		mv += matches[k].From.V / float64(len(in))
	}
	far := make([]float64, len(in))
	next, best := 0, -1.0
	for j, k := range in {
		far[j] = math.Inf(1)
		if d := math.Hypot(matches[k].From.U-mu, matches[k].From.V-mv); d > best {
			next, best = j, d
		}
	}
	pick := make([]int, 0, n)
	for len(pick) < n {
		at := matches[in[next]].From
		pick = append(pick, in[next])
		far[next] = -1
		best = -1
		for j, k := range in {
			if far[j] < 0 {
				continue
			}
			far[j] = math.Min(far[j], math.Hypot(matches[k].From.U-at.U, matches[k].From.V-at.V))
			if far[j] > best {
				next, best = j, far[j]
			}
		}
	}
	return pick
}

// runs collects frames that go together.
type runs struct{ runs []Run }

func (r *runs) add(i mark.Frame, why string) {
	if n := len(r.runs); n > 0 && r.runs[n-1].To >= i-1 && r.runs[n-1].Why == why {
		r.runs[n-1].To = max(r.runs[n-1].To, i)
		return
	}
	r.runs = append(r.runs, Run{i, i, why})
}

// take takes the last frame out again.
func (r *runs) take(i mark.Frame) {
	n := len(r.runs)
	if n == 0 || r.runs[n-1].To != i {
		return
	}
	if r.runs[n-1].From == i {
		r.runs = r.runs[:n-1]
		return
	}
	r.runs[n-1].To--
}
