package plate

import (
	"errors"
	"fmt"
	"image"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoGhosts says that a movement cannot be laid over one frame.
var ErrNoGhosts = errors.New("a movement needs two frames of one take with marked or followed points and a camera: mark the points on another frame, or follow the take")

// MostGhosts is how many instants are laid over each other at most: more cover each other.
const MostGhosts = 5

// Sequence is a movement: a few frames of one take, ready to be drawn in any layout. Its
// picture is the last of them with the fencers of the earlier ones laid in, turned as the
// camera turned. It does not change once made and is safe for use at the same time.
type Sequence struct {
	r      *study.Reading
	take   string
	frames []mark.Frame
	at     []study.Tableau
	turn   []plane // from each frame to the last
	photo  image.Image
	w, h   float64
	// apart says that the fencers could be told from what stands still; otherwise the
	// picture is that of the last frame alone.
	apart bool
}

// GhostFrames chooses the frames of a take that show its movement best: the instants that
// a breakdown tells, and where those are few and points were followed, frames between them.
// It is nil where there are fewer than two.
func GhostFrames(r *study.Reading, take string) []mark.Frame {
	var all []mark.Frame
	for _, in := range r.Told() {
		if _, ok := r.CameraAt(take, in.Frame); ok && in.Take == take {
			all = append(all, in.Frame)
		}
	}
	seen := followedOn(r, take)
	if len(all) < 2 && len(seen) >= 2 {
		all = append(all, seen[0], seen[len(seen)-1])
	}
	slices.Sort(all)
	all = slices.Compact(all)
	if len(all) < 2 {
		return nil
	}
	for len(all) < MostGhosts-1 {
		more := parted(all, seen)
		if len(more) == len(all) {
			break
		}
		all = more
	}
	if len(all) <= MostGhosts {
		return all
	}
	// The first, the last, and those in between that part the time most evenly.
	out := make([]mark.Frame, 0, MostGhosts)
	for i := range MostGhosts {
		want := float64(all[0]) + float64(all[len(all)-1]-all[0])*float64(i)/(MostGhosts-1)
		best := all[0]
		for _, f := range all {
			if abs(float64(f)-want) < abs(float64(best)-want) {
				best = f
			}
		}
		if !slices.Contains(out, best) {
			out = append(out, best)
		}
	}
	return out
}

func abs(v float64) float64 { return max(v, -v) }

// followedOn lists the frames of a take on which a weapon point is known.
func followedOn(r *study.Reading, take string) []mark.Frame {
	var all []mark.Frame
	for _, t := range r.Tracks {
		if t.Take != take || t.What != mark.Point {
			continue
		}
		for _, s := range t.Steps {
			if _, ok := r.CameraAt(take, s.Frame); ok && (s.State == study.StateMarked || s.State == study.StateFollowed) {
				all = append(all, s.Frame)
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// parted adds the frame in the middle of the longest stretch, of those that can be had.
func parted(all, seen []mark.Frame) []mark.Frame {
	at, long := 0, mark.Frame(0)
	for i := 1; i < len(all); i++ {
		if d := all[i] - all[i-1]; d > long {
			at, long = i, d
		}
	}
	mid, best := all[at-1]+long/2, mark.Frame(-1)
	for _, f := range seen {
		if f > all[at-1] && f < all[at] && (best < 0 || abs(float64(f-mid)) < abs(float64(best-mid))) {
			best = f
		}
	}
	if best < 0 {
		return all
	}
	return slices.Insert(slices.Clone(all), at, best)
}

// NewSequence makes a movement of frames of one take, in the order of time, and their
// decoded pictures. It returns ErrNoGhosts where fewer than two of the frames have points
// and a camera; others are left out. It panics without a reading of a touch, and where
// frames and pictures are not as many.
func NewSequence(r *study.Reading, take string, frames []mark.Frame, images []image.Image) (*Sequence, error) {
	if r == nil || r.Touch == nil {
		panic("plate: a sequence needs a reading of a touch")
	}
	if len(frames) != len(images) {
		panic("plate: a sequence needs one picture a frame")
	}
	q := &Sequence{r: r, take: take}
	var kept []image.Image
	var turns []plane
	for i, f := range frames {
		t, ok := r.TableauAt(take, f)
		m, turned := r.Turn(take, f)
		if !ok || !turned || len(t.Bodies[0].Points)+len(t.Bodies[1].Points) == 0 || images[i] == nil || images[i].Bounds().Empty() {
			continue
		}
		q.frames, q.at = append(q.frames, f), append(q.at, t)
		kept, turns = append(kept, images[i]), append(turns, plane(m))
	}
	if len(q.frames) < 2 {
		return nil, ErrNoGhosts
	}
	base := turns[len(turns)-1]
	for _, m := range turns {
		back, ok := m.inverse()
		if !ok {
			return nil, ErrNoGhosts
		}
		q.turn = append(q.turn, base.times(back))
	}
	last := Shot{Reading: r, Take: take, Frame: q.frames[len(q.frames)-1], Image: kept[len(kept)-1]}
	q.w, q.h = last.size()
	q.photo, q.apart = q.laid(kept)
	return q, nil
}

// Ghosts draws the movement: the pictures laid over each other, blades and points at each
// instant with its number, the way of both points where they were followed, with the band
// that holds 95 % of where they may be, and below the picture when each instant was.
func Ghosts(q *Sequence, o Options) *draw.Drawing {
	l := o.Layout
	var pts []mark.Pixel
	for i, t := range q.at {
		for _, p := range pointsOf(t.Instant, nil) {
			pts = append(pts, q.turn[i].of(p))
		}
	}
	p := shown(l, pts, q.w, q.h)
	picture := l.Width() * draw.MM(p.h()/p.w())
	key := ghostKey{q, l}
	finding := o.Finding
	if finding == "" {
		finding = q.finding()
	}
	sh := NewSheet(l, o.theme(), finding, q.desc(), Sentences(Origin(q.r.Touch, o.naming() == Anonymous), q.where(), q.method(), DoubtNote), picture+key.height())
	box := draw.Box{X: 0, Y: sh.Body.Y, W: l.Width(), H: picture}
	sh.Begin(draw.FigureStretch, box)
	shot := Shot{Reading: q.r, Take: q.take, Frame: q.frames[len(q.frames)-1], Image: q.photo}
	v := shot.photo(sh, box, p)
	g := &ghosting{q: q, g: sh.Clip(box.Path()), v: v, sh: sh, ob: &obstacles{room: box.Grow(-1.2)}}
	g.draw()
	below := draw.Box{X: sh.Inner().X, Y: box.Bottom(), W: sh.Inner().W, H: key.height()}
	sh.Begin(draw.FigureStretch, below) // it can stand beside the picture
	key.draw(sh, below)
	return sh.Drawing
}

// finding says how far the fencer who moved more came, hand and foot.
func (q *Sequence) finding() string {
	n := len(q.frames)
	first, last := q.frames[0], q.frames[n-1]
	type way struct {
		words string
		q     quantity.Of[quantity.Metres]
	}
	var best []way
	who := mark.Left
	for _, s := range mark.Sides {
		var ways []way
		for _, w := range []struct {
			what  mark.What
			words string
		}{{mark.FrontToe, "front foot"}, {mark.Guard, "hand"}, {mark.Point, "point"}} {
			if d, ok := q.r.Moved(q.take, s, w.what, first, last); ok && d.IsValid() && len(ways) < 2 {
				ways = append(ways, way{w.words, d})
			}
		}
		if len(ways) > 0 && (len(best) == 0 || ways[0].q.Mean > best[0].q.Mean) {
			best, who = ways, s
		}
	}
	from := fmt.Sprintf("From 1 to %d ", n)
	switch len(best) {
	case 1:
		return from + who.String() + "’s " + best[0].words + " comes " + Metres(best[0].q)
	case 2:
		return from + who.String() + "’s " + best[0].words + " comes " + Metres(best[0].q) + ", the " + best[1].words + " " + Metres(best[1].q)
	}
	return fmt.Sprintf("The movement in %d instants", n)
}

func (q *Sequence) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d frames of the video laid over each other, each instant with its number. ", len(q.frames))
	for i, t := range q.at {
		fmt.Fprintf(&b, "%d at %s", i+1, Seconds(t.At))
		if m := q.moment(i); m != "" {
			b.WriteString(" (" + m + ")")
		}
		b.WriteString(". ")
	}
	return strings.TrimSpace(b.String())
}

func (q *Sequence) where() string {
	var all []string
	for _, f := range q.frames {
		all = append(all, fmt.Sprint(int(f)))
	}
	return "take " + q.take + ", frames " + strings.Join(all, ", ")
}

// method says what was laid over what.
func (q *Sequence) method() string {
	said := fmt.Sprintf("the picture is that of instant %d", len(q.frames))
	if q.apart {
		said += ", with what moved near the fencers in the others laid in, the paler the earlier"
	} else {
		said += "; in the others the fencers could not be told from the ground, so their blades and bodies are drawn by their points alone"
	}
	if len(q.traces()) > 0 {
		return said + "; lines: the way of the points as they were followed"
	}
	return said + "; the points are marked at these instants alone, what lies between was not followed"
}

// moment is the name of the moment that an instant is, if it is one.
func (q *Sequence) moment(i int) string {
	for _, m := range q.r.Touch.Moments {
		if m.ID == q.at[i].Moment {
			return m.Name
		}
	}
	return ""
}
