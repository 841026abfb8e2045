package clip

import (
	"image"
	"math"

	"mesure/sport/mark"
	"mesure/study"
)

// framing says which part of a take is seen where on the picture.
type framing struct {
	crop image.Rectangle // in pixels of the clip
	dest image.Rectangle // in pixels of the picture, with even edges
}

// scale is how many pixels of the picture one of the clip takes.
func (f framing) scale() float64 { return float64(f.dest.Dx()) / float64(f.crop.Dx()) }

// Room about the points that matter, as shares of the clip's height: heads and raised
// hands stand above the mask, shoes below the mark of the toe.
const (
	roomSide  = 0.14
	roomAbove = 0.16
	roomBelow = 0.06
	// closest is the narrowest part of a frame that is shown, as a share of its width:
	// more would show pixels and not fencers.
	closest = 0.40
)

// matter is the box of everything that was marked or followed of the fencers on these
// frames, with some room about it; empty where nothing was.
func matter(r *study.Reading, take string, from, to mark.Frame, w, h int) image.Rectangle {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	see := func(p mark.Pixel) {
		if !finite(p) || p.U < 0 || p.V < 0 || p.U > float64(w) || p.V > float64(h) {
			return
		}
		x0, x1 = math.Min(x0, p.U), math.Max(x1, p.U)
		y0, y1 = math.Min(y0, p.V), math.Max(y1, p.V)
	}
	for _, t := range r.Tracks {
		for _, s := range t.Steps {
			if t.Take == take && s.Frame >= from && s.Frame <= to && (s.State == study.StateMarked || s.State == study.StateFollowed) {
				see(s.Px)
			}
		}
	}
	for _, m := range r.Touch.Marks {
		if m.Take == take && m.Frame >= from && m.Frame <= to {
			see(m.At)
		}
	}
	if !(x1 > x0) {
		return image.Rectangle{}
	}
	k := float64(h)
	return image.Rect(int(x0-roomSide*k), int(y0-roomAbove*k), int(math.Ceil(x1+roomSide*k)), int(math.Ceil(y1+roomBelow*k))).
		Intersect(image.Rect(0, 0, w, h))
}

// frameIn chooses the part of a w × h clip that is shown in a room: all of what matters,
// no closer than least (a share of the width), filling the room where it can. With what
// matters unknown it is the whole frame.
func frameIn(room, need image.Rectangle, w, h int, least float64) framing {
	if need.Empty() {
		need = image.Rect(0, 0, w, h)
	}
	aspect := float64(room.Dx()) / float64(room.Dy())
	cw := math.Max(float64(need.Dx()), math.Max(float64(need.Dy())*aspect, least*float64(w)))
	cw = math.Min(cw, float64(w))
	// Where the frame is too low for the room it is a band, where it is too narrow a column.
	ch := clampTo(cw/aspect, float64(need.Dy()), float64(h))
	ch = math.Min(ch, float64(h))
	x := clampTo(float64(need.Min.X+need.Max.X)/2-cw/2, 0, float64(w)-cw)
	// What is above matters more than the floor, and no foot is cut off for it.
	y := clampTo(float64(need.Min.Y+need.Max.Y)/2-0.52*ch, float64(need.Max.Y)-ch, float64(need.Min.Y))
	y = clampTo(y, 0, float64(h)-ch)
	crop := image.Rect(int(math.Round(x)), int(math.Round(y)), int(math.Round(x+cw)), int(math.Round(y+ch)))
	k := math.Min(float64(room.Dx())/float64(crop.Dx()), float64(room.Dy())/float64(crop.Dy()))
	dw, dh := min(room.Dx(), even(k*float64(crop.Dx()))), min(room.Dy(), even(k*float64(crop.Dy())))
	at := image.Pt(room.Min.X+(room.Dx()-dw)/2, room.Min.Y+(room.Dy()-dh)/2)
	at = image.Pt(at.X&^1, at.Y&^1)
	return framing{crop, image.Rectangle{at, at.Add(image.Pt(dw, dh))}}
}

func clampTo(v, lo, hi float64) float64 { return math.Max(lo, math.Min(v, math.Max(lo, hi))) }

// frameAcross shows the whole width of a frame and of its height what has room: from the
// top, or so far down that the fencers' feet are seen. Where the fencers are higher than
// the room they are made smaller.
func frameAcross(room, need image.Rectangle, w, h int) framing {
	k := float64(room.Dx()) / float64(w)
	ch := int(math.Round(float64(room.Dy()) / k))
	switch {
	case need.Empty() || ch >= h:
		return frameIn(room, image.Rectangle{}, w, h, 1)
	case need.Dy() > ch:
		return frameIn(room, need, w, h, 1)
	}
	y := max(0, need.Max.Y-ch)
	return framing{image.Rect(0, y, w, y+ch), room}
}

// frameTake is how a take is seen on a stage.
func (st stage) frameTake(need image.Rectangle, w, h int) framing {
	if st.form.Shape != Wide {
		return frameIn(st.room, need, w, h, closest)
	}
	return frameAcross(st.room, need, w, h)
}

// halves are the two rooms of a shot that plays two takes beside each other, with room
// for what each is called: above it, and on a square, where two takes below each other
// need all the height, at its left.
func (st stage) halves() [2]image.Rectangle {
	r, gap := st.room, even(st.px(6))
	name := even(st.px(nameBand))
	if st.form.Shape == Wide {
		r.Min.Y = max(r.Min.Y, even(safeShare*float64(st.h)-st.px(6))) + name
		mid := r.Min.X + r.Dx()/4*2
		return [2]image.Rectangle{
			image.Rect(r.Min.X, r.Min.Y, mid-gap/2&^1, r.Max.Y),
			image.Rect(mid+(gap+2)/2&^1, r.Min.Y, r.Max.X, r.Max.Y),
		}
	}
	if st.form.Shape == Square {
		r.Min.X, name = even(st.margin()+st.px(nameColumn)), 0
	}
	mid := r.Min.Y + r.Dy()/4*2
	return [2]image.Rectangle{
		image.Rect(r.Min.X, r.Min.Y+name, r.Max.X, mid-gap/2&^1),
		image.Rect(r.Min.X, mid+(gap+2)/2&^1+name, r.Max.X, r.Max.Y),
	}
}

// The band above each of two takes, or the column at their left, for what they are called.
const (
	nameBand   = 38
	nameColumn = 96
)
