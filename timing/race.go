package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// Run draws the race and counts the lamps.
//
// In each draw every input of both runners is drawn (durations and lengths from
// normal laws cut off where they would change sign, see shortestShare; the
// window and the contacts uniformly over their band), the arrival of each point
// is the first t ≥ 0 with
//
//	travel(t) + closing(t) ≥ gap,
//
// where closing is the travel of the opponent's body along the same line, from
// the opponent's own onset, plus TargetOnArm times that of the opponent's arm:
// an opponent who lunges runs onto the point, one who retreats takes the target
// away. A point without such a t does not arrive. The later hit still lights if
// it registers within the window after the first.
//
// draws must lie between 1 and MaxDraws; src may be nil only where nothing is
// uncertain. It returns *InputError for a number that cannot be used and
// *BothReactError where each side waits for the other. Where nothing is
// uncertain one draw is made and the chances are exact.
func (r Race) Run(app Apparatus, draws int, src rand.Source) (Result, error) {
	if draws < 1 || draws > MaxDraws {
		return Result{}, &InputError{"number of draws", float64(draws), "between 1 and 10 million"}
	}
	d, err := newDrawer(r, app)
	if err != nil {
		return Result{}, err
	}
	certain := d.certain()
	if certain {
		draws = 1
	}
	if src == nil {
		if !certain {
			panic("timing: a race with uncertain inputs needs a source of chance")
		}
		src = rand.NewPCG(0, 0) // drawn from, but to no effect
	}
	return d.runAll(draws, src).result(r, d), nil
}

// drawer holds what is fixed over the draws.
type drawer struct {
	in        [2][inputs]input
	after     [2]bool
	onArm     [2]float64
	corr      float64
	corrRest  float64
	window    input
	contact   input
	meanOnset [2]float64
	mean      [2]float64 // arrivals at the mean of every input; NaN if never
	guess     [2]plane
	common    *[2][inputs]law // set where several races share their draws
}

func newDrawer(r Race, app Apparatus) (*drawer, error) {
	d := &drawer{}
	for side, name := range [2]string{"left", "right"} {
		in, err := inputsOf(name, r.Runners[side])
		if err != nil {
			return nil, err
		}
		d.in[side] = in
		d.after[side] = r.Runners[side].Onset.AfterOther
		d.onArm[side] = float64(r.Runners[side].TargetOnArm)
	}
	if d.after[Left] && d.after[Right] {
		return nil, &BothReactError{}
	}
	if err := app.check(); err != nil {
		return nil, err
	}
	d.corr = float64(r.GapCorrelation)
	if !(d.corr >= -1 && d.corr <= 1) {
		return nil, &InputError{"correlation of the gaps", d.corr, "between -1 and 1"}
	}
	d.corrRest = math.Sqrt(1 - float64(d.corr*d.corr))
	d.window = bandInput(app.Window-app.Tolerance, app.Window+app.Tolerance)
	d.contact = bandInput(app.ContactMin, app.ContactMax)
	var x [2][inputs]float64
	for side := range 2 {
		for i := range inputs {
			x[side][i] = d.in[side][i].mean
		}
	}
	d.meanOnset = d.onsets(&x)
	d.mean = d.arrivals(&x, [2]float64{math.NaN(), math.NaN()})
	d.guess = d.planes(x)
	return d, nil
}

// plane is an arrival as a straight line in every input: where the search for
// the arrival of a draw starts.
type plane struct {
	base float64
	by   [2][inputs]float64
}

// planeStep is the step of the differences in planes, as a share of the SD.
const planeStep = 0.5

// planes returns both arrivals as straight lines through the means x, from
// differences over one SD of each input. An input on which a difference cannot
// be taken is left out: the search finds the arrival all the same.
func (d *drawer) planes(x [2][inputs]float64) (p [2]plane) {
	p[Left].base, p[Right].base = d.mean[Left], d.mean[Right]
	for side := range 2 {
		for i := range inputs {
			in := &d.in[side][i]
			if in.sd == 0 {
				continue
			}
			hi, lo := min(in.hi, in.mean+float64(planeStep*in.sd)), max(in.lo, in.mean-float64(planeStep*in.sd))
			x[side][i] = hi
			up := d.arrivals(&x, d.mean)
			x[side][i] = lo
			down := d.arrivals(&x, d.mean)
			x[side][i] = in.mean
			for who := range 2 {
				if by := (up[who] - down[who]) / (hi - lo); !math.IsNaN(by) && !math.IsInf(by, 0) {
					p[who].by[side][i] = by
					p[who].base -= float64(by * in.mean)
				}
			}
		}
	}
	return p
}

// bandInput is the uniform law over a band.
func bandInput(lo, hi quantity.Seconds) input {
	u := quantity.Uniform(lo, hi)
	return input{mean: float64(u.Mean), sd: float64(u.SD), lo: math.Inf(-1), hi: math.Inf(1), uniform: true}
}

// certain reports whether nothing is uncertain.
func (d *drawer) certain() bool {
	for side := range 2 {
		for i := range inputs {
			if d.in[side][i].sd != 0 {
				return false
			}
		}
	}
	return d.window.sd == 0 && d.contact.sd == 0
}

// onsets returns both onsets from the start of the race.
func (d *drawer) onsets(x *[2][inputs]float64) [2]float64 {
	o := [2]float64{x[Left][inOnset], x[Right][inOnset]}
	if d.after[Left] {
		o[Left] += o[Right]
	} else if d.after[Right] {
		o[Right] += o[Left]
	}
	return o
}

// arrivals returns both arrivals, NaN for a point that never arrives. The guesses
// may be NaN.
func (d *drawer) arrivals(x *[2][inputs]float64, guess [2]float64) [2]float64 {
	o := d.onsets(x)
	var t [2]float64
	for side := range 2 {
		var c course
		d.closing(&c, x, o, side)
		at, ok := c.first(x[side][inGap], guess[side])
		if !ok {
			at = math.NaN()
		}
		t[side] = at
	}
	return t
}

// closing fills the course by which the gap of one side closes.
func (d *drawer) closing(c *course, x *[2][inputs]float64, o [2]float64, side int) {
	me, op := &x[side], &x[1-side]
	c.add(me[inArmTravel], o[side], me[inArmTime])
	c.add(me[inBodyTravel], o[side]+me[inBodyDelay], me[inBodyTime])
	c.add(op[inBodyTravel], o[1-side]+op[inBodyDelay], op[inBodyTime])
	c.add(d.onArm[side]*op[inArmTravel], o[1-side], op[inArmTime])
}
