package study

import (
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// reel is footage without a file: one clip of this size at 50 frames a second.
type reel struct{ frames int }

func (r reel) Probe(context.Context, string, func(float64)) (mark.Clip, error) {
	c := mark.Clip{Width: 1280, Height: 720, BitDepth: 8}
	for i := range r.frames {
		c.Times = append(c.Times, mark.FileTime(float64(i)/50))
	}
	return c, nil
}

func (reel) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return image.NewRGBA(image.Rect(0, 0, 1280, 720)), nil
}

// eye is a pinhole camera written by hand, apart from package camera, so that a
// mistake there shows. It looks along +y, turned by pan and tilt.
type eye struct {
	at        [3]float64
	pan, tilt float64
	focal     float64
}

func (e eye) see(p [3]float64) mark.Pixel {
	dx, dy, dz := p[0]-e.at[0], p[1]-e.at[1], p[2]-e.at[2]
	// Pan turns about z, tilt about the camera's own right.
	right := dx*math.Cos(e.pan) - dy*math.Sin(e.pan)
	ahead := dx*math.Sin(e.pan) + dy*math.Cos(e.pan)
	depth := ahead*math.Cos(e.tilt) - dz*math.Sin(e.tilt)
	down := -dz*math.Cos(e.tilt) - ahead*math.Sin(e.tilt)
	return mark.Pixel{U: 640 + e.focal*right/depth, V: 360 + e.focal*down/depth}
}

// stance is where the points of a fencer are who stands with the front foot at
// x and faces dir (+1 to the right), before anything moves off the plane.
func stance(x, dir, reach float64) map[mark.What][3]float64 {
	at := func(dx, z float64) [3]float64 { return [3]float64{x + dir*dx, 0, z} }
	return map[mark.What][3]float64{
		mark.FrontToe: at(0.15, 0), mark.FrontHeel: at(-0.1, 0), mark.RearToe: at(-0.55, 0), mark.RearHeel: at(-0.6, 0),
		mark.FrontKnee: at(0, 0.45), mark.Hip: at(-0.3, 0.85), mark.Shoulder: at(-0.2, 1.35), mark.Mask: at(-0.2, 1.6),
		mark.Elbow: at(0.05, 1.2), mark.Guard: at(0.05+reach, 1.25), mark.Point: at(0.05+reach+0.9, 1.28),
	}
}

// staged is a touch with its truth: where everything was on each marked frame.
type staged struct {
	touch *Touch
	truth []map[mark.Side]map[mark.What][3]float64
}

// stage makes a touch of five instants, filmed by a camera that pans, with
// marking noise of this many pixels, and the spread off the plane that the
// defaults state.
func stage(seed uint64, noise float64) staged {
	rng := rand.New(rand.NewPCG(seed, 1))
	jitter := func(p mark.Pixel) mark.Pixel {
		return mark.Pixel{U: p.U + noise*rng.NormFloat64(), V: p.V + noise*rng.NormFloat64()}
	}
	t := &Touch{
		Title:  "staged",
		Bout:   bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Stature: 1.80, Hand: bout.RightHand}, Right: bout.Fencer{Stature: 1.78}},
		Videos: []Video{{ID: "v", File: "v.mp4"}},
		Takes:  []mark.Take{{ID: "live", Video: "v", From: 0, To: 99}},
	}
	s := staged{touch: t}
	plane := 0.08 * rng.NormFloat64()
	for i := range 5 {
		f := mark.Frame(10 + 15*i)
		e := eye{at: [3]float64{0.4, -11, 2.9}, pan: 0.02 * float64(i-2), tilt: 0.17, focal: 1250 + 30*float64(i)}
		pl := Placing{Take: "live", Frame: f}
		for _, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far", "left-warning-near", "right-warning-far"} {
			p, ok := piste.Named(name, piste.Width)
			if !ok {
				panic(name)
			}
			at := e.see([3]float64{p.X, p.Y, p.Z})
			if at.U < 0 || at.U > 1279 || at.V < 0 || at.V > 719 {
				continue
			}
			pl.Points = append(pl.Points, PlacedPoint{Name: name, At: jitter(at), SD: noise})
		}
		t.Placings = append(t.Placings, pl)
		hands := [2]bout.Hand{t.Bout.Left.Hand, t.Bout.Right.Hand}
		places := map[mark.Side]map[mark.What][3]float64{
			mark.Left:  stance(-1.3+0.12*float64(i), 1, 0.25+0.05*float64(i)),
			mark.Right: stance(1.3-0.05*float64(i), -1, 0.25),
		}
		for _, side := range mark.Sides {
			for _, w := range mark.Points() {
				p := places[side][w]
				p[1] = plane + beside(w, side, hands[side], rng)
				places[side][w] = p
				t.Marks = append(t.Marks, mark.Mark{Take: "live", Frame: f, Who: side, What: w, At: jitter(e.see(p)), SD: noise})
			}
		}
		s.truth = append(s.truth, places)
		t.Moments = append(t.Moments, mark.Moment{ID: fmt.Sprintf("m%d", i), Name: "moment", Take: "live", After: f - 1, By: f})
	}
	t.Race = RaceAsk{From: "m0", Left: RunAsk{Action: "lunge"}, Right: RunAsk{Action: "extension", Onset: OnsetAsk{Kind: OnsetReaction}}}
	return s
}

// beside draws how far a point lies beside the plane, towards +y: the law that
// offPlane states, with a hand that is not known being either.
func beside(w mark.What, side mark.Side, hand bout.Hand, rng *rand.Rand) float64 {
	if hand == "" {
		hand = [2]bout.Hand{bout.RightHand, bout.LeftHand}[rng.IntN(2)]
	}
	mean, sd := offPlane(w, side, hand)
	return float64(mean) + float64(sd)*rng.NormFloat64()
}

// gap is the true distance from a point to a target.
func (s staged) gap(instant int, of mark.Side, target mark.Target) float64 {
	from := s.truth[instant][of][mark.Point]
	var to [3]float64
	for _, share := range target.Made() {
		for c := range to {
			to[c] += share.Weight * s.truth[instant][of.Other()][share.Of][c]
		}
	}
	return math.Sqrt(sq(to[0]-from[0]) + sq(to[1]-from[1]) + sq(to[2]-from[2]))
}

func sq(v float64) float64 { return v * v }
