package timing

import (
	"math"

	"mesure/quantity"
)

// Stance is one fencer at one instant. Positions are metres along the piste counted
// towards the opponent, from any zero; times are seconds from the instant.
type Stance struct {
	Front, Rear Foot
	// Hip is where the hip stands, for the centre of mass, and Speed how fast it
	// goes towards the opponent.
	Hip   quantity.Of[quantity.Metres]
	Speed quantity.Of[quantity.MetresPerSecond]
	// Height is how high the hip is over the floor.
	Height quantity.Metres
}

// Foot is one foot.
type Foot struct {
	// At is the middle of the foot as it stands, or where it last stood.
	At quantity.Of[quantity.Metres]
	// OnFloor is the chance that it is on the floor.
	OnFloor quantity.Chance
	// Lands is when it will be on the floor if it is in the air; the zero value where
	// that was not seen, and then no time is given for what waits for it.
	Lands quantity.Of[quantity.Seconds]
}

// Does is something that a fencer may do next.
type Does string

// What a fencer may do, in the order of a Commitment. DoExtend is the arm alone;
// DoTurnBack and DoTurnForward are the change of direction of the body.
const (
	DoExtend      Does = "extend"
	DoLunge       Does = "lunge"
	DoStepForward Does = "step-forward"
	DoStepBack    Does = "step-back"
	DoTurnBack    Does = "turn-back"
	DoTurnForward Does = "turn-forward"
)

// Doings lists them in order.
func Doings() [6]Does {
	return [6]Does{DoExtend, DoLunge, DoStepForward, DoStepBack, DoTurnBack, DoTurnForward}
}

// Bar is what most likely stands in the way.
type Bar string

// The bars.
const (
	BarNone      Bar = ""
	BarFlight    Bar = "flight"     // both feet in the air
	BarRearAir   Bar = "rear-air"   // the rear foot cannot push
	BarFrontAir  Bar = "front-air"  // the front foot cannot push
	BarOverFront Bar = "over-front" // the body runs over the front foot
	BarOverRear  Bar = "over-rear"  // the body runs over the rear foot
)

// Can is one thing that a fencer may do, or not yet.
type Can struct {
	Do Does
	// Now is the chance that it can start at this instant.
	Now quantity.Chance
	// Next is when it can start at the earliest: 0 where it more likely can than
	// not now. Known is false where that cannot be told.
	Next  quantity.Of[quantity.Seconds]
	Known bool
	// Bar is what most likely stands in the way, and Reason the same in words.
	Bar    Bar
	Reason string
}

// Commitment is what one fencer's body is able to do.
type Commitment struct {
	// Can has one entry for each of Doings, in that order.
	Can [6]Can
	// Flight is the chance that both feet are in the air.
	Flight quantity.Chance
	// OverBase is where the hip stands over the base: 0 over the rear foot, 1 over
	// the front one. At rest it is the share of the weight on the front foot, by the
	// law of the lever. The zero value where the feet are not apart.
	OverBase quantity.Of[quantity.Ratio]
	// Runs is where the body would have to be caught: Hip + Speed/ω, ω = √(g/Height).
	Runs quantity.Of[quantity.Metres]
}

const (
	// gravity is the standard acceleration of free fall (CGPM 1901).
	gravity = quantity.MetresPerSecondSquared(9.80665)
	// FootHalf is how far the base reaches beyond the middle of a foot: half of a foot
	// of 0.152 of the stature (Drillis and Contini 1964), 1.75 m.
	FootHalf = quantity.Metres(0.133)
	// StepTime is the time of one step, after which a body that ran over its foot is
	// caught (common practice, no source: 250 to 500 ms).
	StepTime = quantity.Seconds(0.350)
	// StepTimeSD is the spread of StepTime (common practice, no source).
	StepTimeSD = quantity.Seconds(0.060)
	// BaseLeast is the distance of the feet below which there is no base to speak of
	// (our choice: one foot's width).
	BaseLeast = quantity.Metres(0.10)
)

// Commit returns what a fencer can do at this instant.
//
// A foot pushes only where it stands. A lunge and a step forward are pushed off the
// rear foot, a step back off the front one. A change of direction needs a foot on
// the side to which the body runs and the body not beyond it: with the hip at x, its
// speed v and ω = √(g/l), l the height of the hip, the point x + v/ω must lie
// within the foot (the extrapolated centre of mass of an inverted pendulum); else it
// takes one more step. In flight
// nothing but the arm moves on purpose until a foot lands. Chances multiply foot and
// body, taken as independent; positions and speed are normal.
//
// What it does not know: strength, fatigue, slipping, an upper body that bends away
// from the hip, lunges pushed while the rear foot slides.
//
// It returns *InputError for a number that is not finite, a chance outside 0 to 1,
// a height of the hip outside 0.2 to 1.5 m, a negative landing, or a front foot
// that stands behind the rear one by more than a foot's length.
//
// Sources: Hof, Gazendam and Sinke, J. Biomech. 38:1 (2005) for the catching point
// (the formula; that a low guard moves like an upright pendulum is our assumption);
// which foot which action needs is common practice, no source (with the front
// foot loaded one can turn back, in flight not before landing).
func Commit(s Stance) (Commitment, error) {
	if err := s.check(); err != nil {
		return Commitment{}, err
	}
	omega := math.Sqrt(float64(gravity) / float64(s.Height))
	runs := quantity.Normal(s.Hip.Mean+quantity.Metres(float64(s.Speed.Mean)/omega),
		quantity.Metres(math.Hypot(float64(s.Hip.SD), float64(s.Speed.SD)/omega)))
	front, rear := float64(s.Front.OnFloor), float64(s.Rear.OnFloor)
	c := Commitment{Flight: quantity.Chance((1 - front) * (1 - rear)), Runs: runs, OverBase: s.overBase()}
	// The chance that the body is still behind the front edge, and before the rear one.
	behind := within(runs, shifted(s.Front.At, FootHalf))
	before := within(shifted(s.Rear.At, -FootHalf), runs)
	c.Can = [6]Can{
		{Do: DoExtend, Now: 1, Known: true, Reason: "the arm needs no foot"},
		pushed(DoLunge, rear, 1, s.Rear.Lands, front),
		pushed(DoStepForward, rear, 1, s.Rear.Lands, front),
		pushed(DoStepBack, front, behind, s.Front.Lands, rear),
		pushed(DoTurnBack, front, behind, s.Front.Lands, rear),
		pushed(DoTurnForward, rear, before, s.Rear.Lands, front),
	}
	return c, nil
}

// pushed judges one action that needs a foot on the floor and the body not beyond
// it. Other is the chance that the other foot stands.
func pushed(do Does, foot, body float64, lands quantity.Of[quantity.Seconds], other float64) Can {
	c := Can{Do: do, Now: quantity.Chance(foot * body), Known: true}
	backward := do == DoStepBack || do == DoTurnBack
	name := "rear"
	if backward {
		name = "front"
	}
	if c.Now >= 0.5 {
		c.Reason = "the " + name + " foot stands and can push"
		return c
	}
	if foot <= body { // the foot is the likelier bar
		c.Bar = BarRearAir
		if backward {
			c.Bar = BarFrontAir
		}
		c.Reason = "the " + name + " foot is in the air and cannot push until it lands"
		if other < 0.5 {
			c.Bar, c.Reason = BarFlight, "both feet are in the air: nothing but the arm until the "+name+" foot lands"
		}
		c.Next, c.Known = lands, lands.Mean > 0 || lands.SD > 0
		return c
	}
	c.Bar, c.Reason = BarOverRear, "the body runs back over the rear foot and is caught by one more step"
	if backward {
		c.Bar, c.Reason = BarOverFront, "the body runs on over the front foot and is caught by one more step"
	}
	c.Next = quantity.Normal(StepTime, StepTimeSD)
	return c
}

func shifted(q quantity.Of[quantity.Metres], by quantity.Metres) quantity.Of[quantity.Metres] {
	q.Mean, q.Lo, q.Hi = q.Mean+by, q.Lo+by, q.Hi+by
	return q
}

// overBase is (hip − rear)/(front − rear), to first order.
func (s Stance) overBase() quantity.Of[quantity.Ratio] {
	base := float64(s.Front.At.Mean - s.Rear.At.Mean)
	if base < float64(BaseLeast) {
		return quantity.Of[quantity.Ratio]{}
	}
	k := float64(s.Hip.Mean-s.Rear.At.Mean) / base
	sd := math.Sqrt(s.Hip.Variance()+(1-k)*(1-k)*s.Rear.At.Variance()+k*k*s.Front.At.Variance()) / base
	return quantity.Normal(quantity.Ratio(k), quantity.Ratio(sd))
}

// check looks at the inputs.
func (s Stance) check() error {
	for _, f := range []struct {
		name string
		foot Foot
	}{{"front foot", s.Front}, {"rear foot", s.Rear}} {
		if _, err := lengthInput(f.name+" place", f.foot.At, math.Inf(-1), math.Inf(1)); err != nil {
			return err
		}
		if p := float64(f.foot.OnFloor); !(p >= 0 && p <= 1) {
			return &InputError{f.name + " chance to be on the floor", p, "between 0 and 1"}
		}
		if _, err := timeInput(f.name+" landing", f.foot.Lands); err != nil {
			return err
		}
		if t := float64(f.foot.Lands.Mean); t < 0 {
			return &InputError{f.name + " landing", t, "after the instant: a foot that has landed is on the floor"}
		}
	}
	if _, err := lengthInput("hip place", s.Hip, math.Inf(-1), math.Inf(1)); err != nil {
		return err
	}
	if v, sd := float64(s.Speed.Mean), float64(s.Speed.SD); !(math.Abs(v) <= maxHipSpeed) || !(sd >= 0 && sd <= maxHipSpeed) {
		return &InputError{"hip speed", v, "a speed of at most 15 m/s with a spread no greater"}
	}
	if h := float64(s.Height); !(h >= 0.2 && h <= 1.5) {
		return &InputError{"hip height", h, "between 0.2 and 1.5 m over the floor"}
	}
	if d := float64(s.Front.At.Mean - s.Rear.At.Mean); d < -2*float64(FootHalf) {
		return &InputError{"front foot before the rear foot", d, "positive, counted towards the opponent: check which foot is the front one and which way the fencer looks (a flèche has crossed its feet: name the leading one the front foot)"}
	}
	return nil
}

// maxHipSpeed is faster than any fencer's hip: it only catches mistakes of unit.
const maxHipSpeed = 15
