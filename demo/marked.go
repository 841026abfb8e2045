package demo

import (
	"math"
	"math/rand/v2"

	"mesure/demo/picture"
	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// How a coach marks.
const (
	// spotSD is how far, in seconds, the instant that a coach takes for the moment
	// lies from the true one: they step the frames to and fro until they are
	// fairly sure (own assumption).
	spotSD quantity.Seconds = 0.005
	// spotMargin widens the bracket by what the coach feels unsure of, on each
	// side (own assumption).
	spotMargin quantity.Seconds = 0.005
	// streakShare is the part of a streak of motion blur by which the mark on the
	// point of the blade wanders (own assumption).
	streakShare = 0.15
	// tieSD is how well the coach has tied the replay to the live picture, in
	// seconds.
	tieSD quantity.Seconds = 0.003
	// placingMost is how many points of the piste a coach marks on one frame.
	placingMost = 10
	// edgeMargin is how far from the edge of the picture a point of the piste must
	// lie to be marked.
	edgeMargin quantity.Pixels = 6
)

// Marked returns a touch as a coach would hand it in: the named moments
// bracketed by frames, every point of interest of both fencers and 6 to 10
// points of the piste on the last frame of each bracket, and the phrase written
// on the stave. The marks have normal errors of standard deviation noise (1.5 px
// is a careful hand). The point of the blade wanders more along its motion blur,
// and its mark says so. Equal arguments give equal touches. It panics for a touch
// that is not one of 0 to Count − 1 and for noise that is not positive.
func Marked(touch int, seed uint64, noise quantity.Pixels) study.Touch {
	if !(noise > 0) {
		panic("demo: marks need a standard deviation above 0: the truth is not for readings")
	}
	f := scene.Films()[touch]
	c := &coach{film: f, noise: float64(noise), chance: newChance(seed, touch)}
	t := Touches()[touch]
	for k := range t.Takes {
		if s := &f.Shots[k]; s.Factor != 1 {
			t.Takes[k].Offset += mark.TrueTime(float64(tieSD) * c.chance.NormFloat64())
			t.Takes[k].OffsetSD = float64(tieSD)
		}
	}
	for _, m := range f.Moments {
		c.moment(&t, m)
	}
	writePhrase(&t, touch, f)
	return t
}

// newChance is the chance of one coach at one touch.
func newChance(seed uint64, touch int) *rand.Rand {
	return rand.New(rand.NewPCG(seed, uint64(touch)+1))
}

type coach struct {
	film   *scene.Film
	noise  float64
	chance *rand.Rand
}

// shotOf returns the shot on which a moment is looked for: the slowest one that
// shows it.
func (c *coach) shotOf(m scene.Named) *scene.Shot {
	best := &c.film.Shots[0]
	for k := range c.film.Shots {
		if s := &c.film.Shots[k]; s.Factor > best.Factor && shows(s, m) {
			best = s
		}
	}
	return best
}

// shows reports whether a moment lies well inside a shot.
func shows(s *scene.Shot, m scene.Named) bool {
	return m.At > s.At(2) && m.At < s.At(mark.Frame(s.Frames-3))
}

// moment brackets one moment and marks the frame that ends the bracket.
func (c *coach) moment(t *study.Touch, m scene.Named) {
	s := c.shotOf(m)
	k := c.bracket(s, m)
	t.Moments = append(t.Moments, mark.Moment{ID: m.ID, Name: m.Name, Take: s.ID, After: k.After, By: k.By})
	for _, p := range t.Placings {
		if p.Take == s.ID && p.Frame == k.By {
			return
		}
	}
	c.place(t, s, k.By, nil)
	c.points(t, s, k.By, nil)
}

// bracket says between which frames of a shot the coach sees a moment.
func (c *coach) bracket(s *scene.Shot, m scene.Named) mark.Bracket {
	frame := func(at quantity.Seconds) float64 {
		return float64(at-s.Start) * scene.FrameRate * s.Factor
	}
	seen := m.At + spotSD*quantity.Seconds(c.chance.NormFloat64()/s.Factor)
	margin := spotMargin / quantity.Seconds(s.Factor)
	last := mark.Frame(s.Frames - 1)
	by := min(last, mark.Frame(math.Ceil(frame(seen+margin))))
	after := max(0, min(by-1, mark.Frame(math.Ceil(frame(seen-margin)))-1))
	return mark.Bracket{Take: s.ID, After: after, By: by}
}

// place marks the piste on one frame: where a sight is given, only what it shows.
func (c *coach) place(t *study.Touch, s *scene.Shot, f mark.Frame, sight *scene.Sight) {
	cam := c.film.Camera(s, s.At(f))
	place := study.Placing{Take: s.ID, Frame: f}
	for _, name := range inView(cam, t.Width()) {
		p := placedAt(cam, name, t.Width())
		if sight != nil && !sight.ShowsFloor(scene.Vec{X: p.On.X, Y: p.On.Y}) {
			continue
		}
		p.At, p.SD = c.off(p.At, c.noise), c.noise
		place.Points = append(place.Points, p)
	}
	t.Placings = append(t.Placings, place)
}

// points marks both fencers on one frame: where a sight is given, only what it
// shows.
func (c *coach) points(t *study.Touch, s *scene.Shot, f mark.Frame, sight *scene.Sight) {
	at := s.At(f)
	cam := c.film.Camera(s, at)
	open := quantity.Seconds(picture.Shutter / s.Factor / 2)
	before, now, after := c.film.At(at-open), c.film.At(at), c.film.At(at+open)
	for _, side := range mark.Sides {
		for _, w := range mark.Points() {
			if sight != nil && !sight.Shows(side, w) {
				continue
			}
			px, _ := cam.Project(now[side].Of(w))
			sd := c.noise
			if w == mark.Point {
				a, _ := cam.Project(before[side].Tip)
				b, _ := cam.Project(after[side].Tip)
				sd = math.Hypot(sd, streakShare*math.Hypot(a.U-b.U, a.V-b.V))
			}
			t.Marks = append(t.Marks, mark.Mark{Take: s.ID, Frame: f, Who: side, What: w, At: c.off(px, sd), SD: sd})
		}
	}
}

func (c *coach) off(p mark.Pixel, sd float64) mark.Pixel {
	return mark.Pixel{U: p.U + sd*c.chance.NormFloat64(), V: p.V + sd*c.chance.NormFloat64()}
}

// placedAt returns a named point of the piste exactly where the camera shows it.
func placedAt(cam scene.Camera, name string, width float64) study.PlacedPoint {
	on, _ := piste.Named(name, width)
	px, _ := cam.Project(scene.Vec{X: on.X, Y: on.Y, Z: on.Z})
	return study.PlacedPoint{Name: name, On: on, At: px}
}

// inView returns the named points that a coach would mark on this picture: the
// crossings on both edges, then those on the axis, placingMost at most.
func inView(cam scene.Camera, width float64) []string {
	var edges, axis []string
	for _, name := range piste.Names() {
		p, _ := piste.Named(name, width)
		switch {
		case !cam.Sees(scene.Vec{X: p.X, Y: p.Y}, edgeMargin):
		case p.Y == 0:
			axis = append(axis, name)
		default:
			edges = append(edges, name)
		}
	}
	all := append(edges, axis...)
	return all[:min(len(all), placingMost)]
}
