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
	// What is above matters more than the floor.
	y := clampTo(float64(need.Min.Y+need.Max.Y)/2-0.52*ch, 0, float64(h)-ch)
	crop := image.Rect(int(math.Round(x)), int(math.Round(y)), int(math.Round(x+cw)), int(math.Round(y+ch)))
	k := math.Min(float64(room.Dx())/float64(crop.Dx()), float64(room.Dy())/float64(crop.Dy()))
	dw, dh := min(room.Dx(), even(k*float64(crop.Dx()))), min(room.Dy(), even(k*float64(crop.Dy())))
	at := image.Pt(room.Min.X+(room.Dx()-dw)/2, room.Min.Y+(room.Dy()-dh)/2)
	at = image.Pt(at.X&^1, at.Y&^1)
	return framing{crop, image.Rectangle{at, at.Add(image.Pt(dw, dh))}}
}

func clampTo(v, lo, hi float64) float64 { return math.Max(lo, math.Min(v, math.Max(lo, hi))) }

// frameOver is the whole frame on a picture whose foot is covered from the line top on.
// Where the fencers would be covered the picture is moved up, and made smaller where
// that would cut their heads.
func frameOver(st stage, need image.Rectangle, w, h, top int) framing {
	whole := frameIn(st.room, image.Rectangle{}, w, h, 1)
	if need.Empty() {
		return frameIn(image.Rect(0, 0, st.w, top), need, w, h, 1)
	}
	k := whole.scale()
	foot := float64(whole.dest.Min.Y) + float64(need.Max.Y-whole.crop.Min.Y)*k
	up := int(math.Ceil((foot - float64(top)) / 2 / k))
	if up <= 0 {
		return whole
	}
	up *= 2
	if up > need.Min.Y {
		return frameIn(image.Rect(0, 0, st.w, top), need, w, h, 1)
	}
	d := even(float64(up) * k)
	whole.crop.Min.Y += up
	whole.dest.Max.Y -= d
	return whole
}

// frameTake is how a take is seen on a stage.
func (st stage) frameTake(need image.Rectangle, w, h int) framing {
	switch {
	case st.form.Shape != Wide:
		return frameIn(st.room, need, w, h, closest)
	case st.over:
		return frameOver(st, need, w, h, st.panel.Min.Y)
	}
	return frameIn(st.room, image.Rectangle{}, w, h, 1)
}

// halves are the two rooms of a shot that plays two takes beside each other.
func (st stage) halves() [2]image.Rectangle {
	room := st.room
	if st.over {
		room.Max.Y = st.panel.Min.Y
	}
	if st.form.Shape != Upright {
		room.Min.Y += even(st.px(122)) // for what stands above both
	}
	gap := even(st.px(6))
	if st.form.Shape == Wide {
		mid := room.Min.X + room.Dx()/4*2
		return [2]image.Rectangle{
			image.Rect(room.Min.X, room.Min.Y, mid-gap/2&^1, room.Max.Y),
			image.Rect(mid+(gap+2)/2&^1, room.Min.Y, room.Max.X, room.Max.Y),
		}
	}
	mid := room.Min.Y + room.Dy()/4*2
	return [2]image.Rectangle{
		image.Rect(room.Min.X, room.Min.Y, room.Max.X, mid-gap/2&^1),
		image.Rect(room.Min.X, mid+(gap+2)/2&^1, room.Max.X, room.Max.Y),
	}
}
