package timing

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

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
	d.guess[Left].base, d.guess[Right].base = math.NaN(), math.NaN()
	d.mean = d.arrivals(&x)
	d.guess = d.planes(x)
	return d, nil
}

// plane is an arrival as a straight line in every input: where the search for
// the arrival of a draw starts.
type plane struct {
	base float64
	by   [2][inputs]float64
}

func (p *plane) at(x *[2][inputs]float64) float64 {
	left, right := p.base, 0.0 // two sums, so that neither waits for the other
	for i := range inputs {
		left += float64(p.by[Left][i] * x[Left][i])
		right += float64(p.by[Right][i] * x[Right][i])
	}
	return left + right
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
			hi, lo := min(in.hi, in.mean+planeStep*in.sd), max(in.lo, in.mean-planeStep*in.sd)
			x[side][i] = hi
			up := d.arrivals(&x)
			x[side][i] = lo
			down := d.arrivals(&x)
			x[side][i] = in.mean
			for who := range 2 {
				if by := (up[who] - down[who]) / (hi - lo); !math.IsNaN(by) && !math.IsInf(by, 0) {
					p[who].by[side][i] = by
					p[who].base -= by * in.mean
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

// arrivals returns both arrivals, NaN for a point that never arrives.
func (d *drawer) arrivals(x *[2][inputs]float64) [2]float64 {
	o := d.onsets(x)
	var t [2]float64
	for side := range 2 {
		var c course
		d.closing(&c, x, o, side)
		at, ok := c.first(x[side][inGap], d.guess[side].at(x))
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

// drawn is an input that is uncertain and the place that its draws go to.
type drawn struct {
	at *float64
	in *input
}

// block is how many draws share one stream of random numbers: the unit of work
// that one processor takes.
const block = 8192

// runAll makes the draws in blocks, on as many processors as there are. Each
// block has a stream of its own, seeded in order from src, and the blocks are
// added up in order: the result does not depend on how many processors there
// were.
func (d *drawer) runAll(draws int, src rand.Source) *tally {
	parts := make([]*tally, (draws+block-1)/block)
	seeds := make([][2]uint64, len(parts))
	for i := range seeds {
		seeds[i] = [2]uint64{src.Uint64(), src.Uint64()}
	}
	var next atomic.Int64
	work := func() {
		for i := next.Add(1) - 1; i < int64(len(parts)); i = next.Add(1) - 1 {
			n := min(block, draws-int(i)*block)
			t := newTally(d, n)
			d.run(t, n, rand.New(rand.NewPCG(seeds[i][0], seeds[i][1])))
			parts[i] = t
		}
	}
	var others sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(parts)) - 1 {
		others.Go(work)
	}
	work()
	others.Wait()
	return sum(parts, d, draws)
}

// run makes the draws.
func (d *drawer) run(t *tally, draws int, rng *rand.Rand) {
	var x [2][inputs]float64
	var list []drawn // in the order of sides and inputs; the right gap last
	for side := range 2 {
		for i := range inputs {
			in := &d.in[side][i]
			x[side][i] = in.mean
			if in.sd != 0 && !(side == Right && i == inGap) {
				list = append(list, drawn{&x[side][i], in})
			}
		}
	}
	left, right := &d.in[Left][inGap], &d.in[Right][inGap]
	together := left.sd > 0 && right.sd > 0 && d.corr != 0
	if right.sd > 0 && !together {
		list = append(list, drawn{&x[Right][inGap], right})
	}
	apparatus := d.window.sd > 0 || d.contact.sd > 0
	window, contact := d.window.mean, [2]float64{d.contact.mean, d.contact.mean}
	for range draws {
		for i := range list {
			*list[i].at = list[i].in.draw(rng)
		}
		if together {
			z := (x[Left][inGap] - left.mean) / left.sd
			x[Right][inGap] = right.drawWith(rng, z, d.corr, d.corrRest)
		}
		if apparatus {
			u := rng.Uint64()
			window = d.window.part(u)
			contact[Left] = d.contact.part(u >> 21)
			contact[Right] = d.contact.part(u >> 42)
		}
		t.count(&x, d.arrivals(&x), contact, window)
	}
}
