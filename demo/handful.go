package demo

import (
	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// HandfulOptions say how much a coach marks who leaves the rest to following. The
// zero value is what most callers want.
type HandfulOptions struct {
	// Noise is the standard deviation of every mark; zero means mark.DefaultSD.
	Noise quantity.Pixels
	// Every is how many frames lie between two frames with marks; zero means 12.
	Every int
	// OnePlaced places the piste on the first frame of each take only, not on the
	// last as well.
	OnePlaced bool
	// Placing is which hand places the piste: the marks on the fencers stay as they
	// are, and with them what was followed.
	Placing uint64
}

// handfulEvery is how many frames lie between the marks of a handful.
const handfulEvery = 12

// Handful returns a touch as a coach hands it in to be followed. On each take the
// piste is placed on the first and the last frame, and the points of interest of
// both fencers are marked on one frame in twelve and on the last. What cannot be
// seen on such a frame is said to be hidden there, and from one such frame to the
// next. The moments are bracketed as by Marked, and again in every other take that
// shows them; the replay is tied by them, its time factor and its start left open.
// Errors of the hand as by Marked. Equal arguments give equal touches. It panics for
// a touch that is not one of 0 to Count − 1 and for negative options.
func Handful(touch int, seed uint64, o HandfulOptions) study.Touch {
	if o.Noise < 0 || o.Every < 0 {
		panic("demo: a handful of marks has neither negative errors nor negative gaps")
	}
	if o.Noise == 0 {
		o.Noise = mark.DefaultSD
	}
	if o.Every == 0 {
		o.Every = handfulEvery
	}
	f := scene.Films()[touch]
	c := &coach{film: f, noise: float64(o.Noise), chance: newChance(seed, touch+100)}
	placing := &coach{film: f, noise: float64(o.Noise), chance: newChance(seed+o.Placing<<32, touch+200)}
	t := Touches()[touch]
	for k := range f.Shots {
		s := &f.Shots[k]
		if s.Factor != 1 {
			t.Takes[k].Factor, t.Takes[k].Offset, t.Takes[k].Tied = 0, 0, true
		}
		last := mark.Frame(s.Frames - 1)
		for n := mark.Frame(0); ; n = min(last, n+mark.Frame(o.Every)) {
			sight := f.Sight(s, s.At(n))
			if n == 0 || n == last && !o.OnePlaced {
				placing.place(&t, s, n, sight)
			}
			c.points(&t, s, n, sight)
			hide(&t, s.ID, n, mark.Frame(o.Every), sight)
			if n == last {
				break
			}
		}
	}
	for _, m := range f.Moments {
		main := c.shotOf(m)
		b := c.bracket(main, m)
		moment := mark.Moment{ID: m.ID, Name: m.Name, Take: b.Take, After: b.After, By: b.By}
		for k := range f.Shots {
			if s := &f.Shots[k]; s != main && shows(s, m) {
				moment.Also = append(moment.Also, c.bracket(s, m))
			}
		}
		t.Moments = append(t.Moments, moment)
	}
	return t
}

// hide says of the points that cannot be seen on a frame with marks that they are
// hidden, and carries on what was hidden on the frame with marks before it.
func hide(t *study.Touch, take string, n, every mark.Frame, sight *scene.Sight) {
	for _, side := range mark.Sides {
		for _, w := range mark.Points() {
			if sight.Shows(side, w) {
				continue
			}
			known := false
			for i := range t.Hidden {
				if h := &t.Hidden[i]; h.Take == take && h.Who == side && h.What == w && h.To >= n-every {
					h.To, known = n, true
				}
			}
			if !known {
				t.Hidden = append(t.Hidden, mark.Hidden{Take: take, Who: side, What: w, From: n, To: n})
			}
		}
	}
}
