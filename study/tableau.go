package study

import (
	"math"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/timing"
)

// Tableau is one frame laid out for those who draw it: what was measured on it, in the
// picture and in space, so that a picture to scale and a line on the frame show the same.
// Derived, never edited.
type Tableau struct {
	Instant
	// Spots are the points of each fencer in space, in the order of Bodies.
	Spots [2][]Spot
	// Ends are the two ends of each of Gaps in space, in their order.
	Ends []GapEnds
	// Arcs say where each point can arrive, from the shortest movement to the longest,
	// left first.
	Arcs []Arc
	// Between compares what is known of both, in the order in which points are printed.
	Between []Between
	// Grid has the lines of the piste as this frame shows them.
	Grid []GridLine
	// Width of the piste.
	Width quantity.Metres
}

// Spot is one point of a fencer in space.
type Spot struct {
	What mark.What
	// Place has x, y and z in metres. They vary together: what is not known along the
	// line of sight moves all three.
	Place quantity.Joint
}

// Between compares a point that is known of both fencers. What they share (camera, plane of
// action) is in the ±.
type Between struct {
	What mark.What
	// Along is how far the right one's lies from the left one's along the piste, negative
	// where they passed each other; Up how much higher the left one's is.
	Along, Up quantity.Of[quantity.Metres]
}

// GapEnds are the point and the target of a gap, x, y and z in the world frame.
type GapEnds struct {
	From, To [3]quantity.Of[quantity.Metres]
}

// Arc is where a point can arrive with one movement: the circle about it in the upright
// plane of action whose radius is how far the movement takes it, from ArcDown below to
// ArcUp above the horizontal and never below the floor.
type Arc struct {
	Of mark.Side
	// Band is the measure that ends here: "short", "medium" or "long".
	Band  string
	Reach quantity.Of[quantity.Metres]
	// Source says what the reach rests on.
	Source string
	// Line is the arc in the picture, Places the same in space, from below to above.
	Line   []mark.Pixel
	Places []piste.Place
	// Soft are the ribbons of its doubt in the picture: the first holds 95 %, the second a
	// standard deviation on each side. That of the point itself is not in them: it moves
	// the whole arc.
	Soft [2]Ribbon
}

// Ribbon is a stretch between two lines in the picture.
type Ribbon struct{ Near, Far []mark.Pixel }

// Ends of an arc against the horizontal, in degrees, and its step: below lies the foot,
// above the mask of a fencer who stands upright.
const (
	ArcDown = 60
	ArcUp   = 30
	arcStep = 2
)

// TableauAt lays out any frame of a take that a camera is known of. Without points on it
// only the piste is there. It is false for a frame without a camera, and for one that is not of the take.
func (r *Reading) TableauAt(take string, f mark.Frame) (Tableau, bool) {
	cam, ok := r.CameraAt(take, f)
	k, known := r.Touch.Take(take)
	clip := r.Clips[k.Video]
	if !ok || !known || f < k.From || f > k.To || !clip.Has(f) {
		return Tableau{}, false
	}
	t := Tableau{Grid: gridOf(cam, clip.Width, clip.Height, r.Touch.Width()), Width: quantity.Metres(r.Touch.Width())}
	in, fig, ok := r.figureAt(At{take, f})
	if !ok {
		t.Instant = Instant{Take: take, Frame: f, At: r.clocks[take].at(f)}
		return t, true
	}
	t.Instant = in
	for _, s := range mark.Sides {
		for _, m := range fig.marks[s] {
			i := fig.index[s][m.What]
			t.Spots[s] = append(t.Spots[s], Spot{m.What, fig.places.Pick(i, i+1, i+2)})
		}
		t.Arcs = append(t.Arcs, r.arcs(cam, fig, s, in.Bodies[s].ArmLeft)...)
	}
	for _, m := range fig.marks[mark.Left] {
		i := fig.index[mark.Left][m.What]
		k, ok := fig.index[mark.Right][m.What]
		if !ok {
			continue
		}
		d := fig.places.Pick(i, i+2, k, k+2).Linear([]float64{-1, 0, 1, 0, 0, 1, 0, -1}, nil)
		t.Between = append(t.Between, Between{m.What, quantity.Part[quantity.Metres](d, 0), quantity.Part[quantity.Metres](d, 1)})
	}
	for _, g := range in.Gaps {
		j, _, _ := fig.ends(fig.index[g.Of][mark.Point], g.Of.Other(), g.Target)
		var e GapEnds
		for c := range 3 {
			e.From[c], e.To[c] = quantity.Part[quantity.Metres](j, c), quantity.Part[quantity.Metres](j, 3+c)
		}
		t.Ends = append(t.Ends, e)
	}
	return t, true
}

// arcs are those of one fencer; none where the point is not known.
func (r *Reading) arcs(cam *camera.Placing, fig figure, s mark.Side, arm *quantity.Of[quantity.Metres]) []Arc {
	i, ok := fig.index[s][mark.Point]
	if !ok {
		return nil
	}
	centre := piste.Place{X: fig.places.Mean[i], Y: fig.places.Mean[i+1], Z: fig.places.Mean[i+2]}
	// Forward along the plane of action.
	slope := float64(fig.plane.Slope.Mean)
	ahead := 1 / math.Hypot(1, slope)
	if s == mark.Right {
		ahead = -ahead
	}
	reach := reachOf(r.Profiles[s], r.Touch.Bout.Fencer(s), arm)
	var out []Arc
	for _, b := range []struct {
		band timing.Band
		q    quantity.Of[quantity.Metres]
	}{{timing.Short, reach.Short}, {timing.Medium, reach.Medium}, {timing.Long, reach.Long}} {
		a := Arc{Of: s, Band: string(b.band), Reach: b.q, Source: reach.Source}
		line := func(radius quantity.Metres) (px []mark.Pixel, at []piste.Place) {
			for deg := -ArcDown; deg <= ArcUp; deg += arcStep {
				sin, cos := math.Sincos(float64(deg) * math.Pi / 180)
				along := float64(max(radius, 0)) * cos * ahead
				p := piste.Place{X: centre.X + along, Y: centre.Y + along*slope, Z: centre.Z + float64(max(radius, 0))*sin}
				if q, ok := cam.Project(p); ok && p.Z >= 0 {
					px, at = append(px, q), append(at, p)
				}
			}
			return px, at
		}
		a.Line, a.Places = line(b.q.Mean)
		for k, e := range [2][2]quantity.Metres{{b.q.Lo, b.q.Hi}, {b.q.Mean - b.q.SD, b.q.Mean + b.q.SD}} {
			a.Soft[k].Near, _ = line(e[0])
			a.Soft[k].Far, _ = line(e[1])
		}
		if len(a.Line) >= 2 {
			out = append(out, a)
		}
	}
	return out
}

// Ellipse holds 95 % of where a point is as seen along one axis: half its longer and its
// shorter axis, and by how much the longer one is turned from the first of the two
// coordinates towards the second.
type Ellipse struct {
	Long, Short quantity.Metres
	Turn        quantity.Radians
}

// fromAxis is the 95 % point of chi-squared with two degrees of freedom, −2 ln 0.05.
const fromAxis = 5.991464547107979

// Above is the ellipse in the plan: x along the piste, then y across it.
func (s Spot) Above() Ellipse { return ellipse(s.Place, 0, 1) }

// Aside is the ellipse in the elevation: x along the piste, then z up.
func (s Spot) Aside() Ellipse { return ellipse(s.Place, 0, 2) }

// ellipse is that of two coordinates of a normal law: axes √(5.991 λ) along the
// eigenvectors of their covariance (λ its eigenvalues).
func ellipse(j quantity.Joint, a, b int) Ellipse {
	va, vb, c := j.Covariance(a, a), j.Covariance(b, b), j.Covariance(a, b)
	mid, half := (va+vb)/2, math.Hypot((va-vb)/2, c)
	return Ellipse{
		Long:  quantity.Metres(math.Sqrt(fromAxis * (mid + half))),
		Short: quantity.Metres(math.Sqrt(fromAxis * max(0, mid-half))),
		Turn:  quantity.Radians(math.Atan2(2*c, va-vb) / 2),
	}
}

// Moved is how far a point of a fencer came between two frames of a take, straight, in
// the plane of action (x and z). The doubts of the two places are taken as independent,
// though the camera and the place beside the plane are shared: the ± is rather too wide.
// It is false where the point is not known on both.
func (r *Reading) Moved(take string, who mark.Side, what mark.What, from, to mark.Frame) (quantity.Of[quantity.Metres], bool) {
	var places [2]quantity.Joint
	for k, f := range [2]mark.Frame{from, to} {
		_, fig, ok := r.figureAt(At{take, f})
		if !ok {
			return quantity.Of[quantity.Metres]{}, false
		}
		i, ok := fig.index[who][what]
		if !ok {
			return quantity.Of[quantity.Metres]{}, false
		}
		places[k] = fig.places.Pick(i, i+2)
	}
	d := quantity.Stack(places[0], places[1]).Linear([]float64{-1, 0, 1, 0, 0, -1, 0, 1}, nil)
	return quantity.Distance(
		[3]quantity.Metres{quantity.Metres(d.Mean[0]), 0, quantity.Metres(d.Mean[1])},
		[3][3]float64{{d.Covariance(0, 0), 0, d.Covariance(0, 1)}, {}, {d.Covariance(1, 0), 0, d.Covariance(1, 1)}}), true
}
