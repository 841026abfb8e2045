package timing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
)

// Start is the onset of one part of one fencer, as it was observed.
type Start struct {
	// Side is Left or Right, and Part what started, such as "hand" or "front foot".
	Side int
	Part string
	// Time is the instant; Uniform says that it lies evenly between two frames, over
	// Mean ± √3·SD, and not normally about the mean.
	Time    quantity.Of[quantity.Seconds]
	Uniform bool
}

// Order is who started when.
type Order struct {
	// Sequence are the indices of the starts by their means, earliest first; of equal
	// means the one handed in first.
	Sequence []int
	// Likelihood is the chance that the starts happened in exactly this order.
	Likelihood quantity.Of[quantity.Chance]
	// First is the chance of each start to be the first of all; they sum to 1.
	First []quantity.Of[quantity.Chance]
	// Before[i][j] is the chance that start i came before start j; 0 for i = j.
	Before [][]quantity.Chance
	// SideFirst is the chance that the first start of all is this side's.
	SideFirst [2]quantity.Of[quantity.Chance]
	Draws     int
}

// maxStarts bounds the starts of one order: far more than a phrase has.
const maxStarts = 32

// StartOrder returns the order of the starts by draws, each start by itself; one
// draw where nothing is uncertain. Of two equal instants each is half before the
// other in Before; everywhere else the one handed in first counts as the earlier.
//
// It returns *InputError for no starts or more than 32, a time that is no number, or
// a side other than Left and Right. It panics if draws is not between 1 and
// MaxDraws.
func StartOrder(starts []Start, draws int, src rand.Source) (Order, error) {
	if draws < 1 || draws > MaxDraws {
		panic("timing: an order needs between 1 and MaxDraws draws")
	}
	n := len(starts)
	if n == 0 || n > maxStarts {
		return Order{}, &InputError{"count of starts", float64(n), "between 1 and 32: give the onsets that were seen"}
	}
	in := make([]input, n)
	certain := true
	for i, s := range starts {
		var err error
		if in[i], err = timeInput(fmt.Sprintf("start of the %s %s", sideName(s.Side), s.Part), s.Time); err != nil {
			return Order{}, err
		}
		if s.Side != Left && s.Side != Right {
			return Order{}, &InputError{"side of a start", float64(s.Side), "0 (left) or 1 (right)"}
		}
		in[i].uniform = s.Uniform
		certain = certain && in[i].sd == 0
	}
	if certain {
		draws = 1
	}
	o := Order{Sequence: make([]int, n), Draws: draws, Before: make([][]quantity.Chance, n)}
	for i := range o.Sequence {
		o.Sequence[i] = i
		o.Before[i] = make([]quantity.Chance, n)
	}
	slices.SortStableFunc(o.Sequence, func(a, b int) int {
		switch x, y := in[a].mean, in[b].mean; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	first, same := make([]int, n), 0
	rng := stream{src.Uint64()}
	at := make([]float64, n)
	halves := make([][]int, n) // twice the draws in which i is before j, a tie counting once
	for i := range halves {
		halves[i] = make([]int, n)
	}
	for range draws {
		lead := 0
		for i := range in {
			at[i] = in[i].draw(&rng)
			if at[i] < at[lead] {
				lead = i
			}
		}
		first[lead]++
		inOrder := true
		for k := 1; k < n; k++ {
			inOrder = inOrder && at[o.Sequence[k-1]] <= at[o.Sequence[k]]
		}
		if inOrder {
			same++
		}
		for i := range n {
			for j := range n {
				switch {
				case i == j:
				case at[i] < at[j]:
					halves[i][j] += 2
				case at[i] == at[j]:
					halves[i][j]++
				}
			}
		}
	}
	chance := func(k int) quantity.Of[quantity.Chance] {
		if certain {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, draws)
	}
	o.Likelihood = chance(same)
	sides := [2]int{}
	for i, k := range first {
		o.First = append(o.First, chance(k))
		sides[starts[i].Side] += k
		for j := range n {
			o.Before[i][j] = quantity.Chance(float64(halves[i][j]) / float64(2*draws))
		}
	}
	o.SideFirst = [2]quantity.Of[quantity.Chance]{chance(sides[Left]), chance(sides[Right])}
	return o, nil
}

func sideName(side int) string {
	if side == Right {
		return "right"
	}
	return "left"
}

// FootLead is by how much the front foot may start before the hand until that is
// worth a note (common practice, no source: the hand goes before the foot; what was
// measured disagrees, in elite foil hand and leg start together).
const FootLead = quantity.Seconds(0.040)

// Lag is how much later than the hand the foot started.
type Lag struct {
	// Time is foot − hand: negative where the foot led. Its interval is that of the
	// difference of two frames where both starts are brackets.
	Time quantity.Of[quantity.Seconds]
	// HandFirst is the chance that the hand led, and FootLeads that the foot led by
	// more than FootLead.
	HandFirst, FootLeads quantity.Chance
	Reason               string
}

// HandToFoot returns the lag of the foot behind the hand of one fencer. Mean and
// spread are exact, chances and interval too: for two normal starts by the normal
// law, for two brackets of frames by the trapezium that their difference has, for
// one of each by the integral of the normal law over the bracket.
//
// It returns *InputError for a time that is no number.
func HandToFoot(hand, foot Start) (Lag, error) {
	h, err := timeInput("start of the hand", hand.Time)
	if err != nil {
		return Lag{}, err
	}
	f, err := timeInput("start of the foot", foot.Time)
	if err != nil {
		return Lag{}, err
	}
	h.uniform, f.uniform = hand.Uniform, foot.Uniform
	below := differenceLaw(h, f)
	mean, sd := f.mean-h.mean, math.Hypot(h.sd, f.sd)
	l := Lag{Time: quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(mean), SD: quantity.Seconds(sd),
		Lo: quantity.Seconds(quantileOf(below, mean, sd, (1-quantity.Coverage)/2)),
		Hi: quantity.Seconds(quantileOf(below, mean, sd, (1+quantity.Coverage)/2))},
		HandFirst: quantity.Chance(1 - below(0)), FootLeads: quantity.Chance(below(-float64(FootLead)))}
	switch {
	case l.FootLeads >= 0.5:
		l.Reason = "the foot starts clearly before the hand"
	case l.HandFirst >= 0.95:
		l.Reason = "the hand starts before the foot"
	case l.HandFirst <= 0.05:
		l.Reason = "the foot starts before the hand, by little"
	default:
		l.Reason = "hand and foot start together as far as the picture tells"
	}
	return l, nil
}

// differenceLaw is the distribution function of foot − hand.
func differenceLaw(h, f input) func(x float64) float64 {
	mean := f.mean - h.mean
	wide := func(in input) float64 { return math.Sqrt(3) * in.sd } // half a bracket
	if !h.uniform {
		h, f = f, h // the difference is symmetric about its mean
	}
	switch {
	case h.sd == 0 && f.sd == 0:
		return func(x float64) float64 {
			switch {
			case x < mean:
				return 0
			case x > mean:
				return 1
			}
			return 0.5
		}
	case h.sd == 0 && f.uniform:
		return func(x float64) float64 { return max(0, min(1, 0.5+(x-mean)/(2*wide(f)))) }
	case !h.uniform || h.sd == 0:
		s := math.Hypot(h.sd, f.sd)
		return func(x float64) float64 { return normalCDF((x - mean) / s) }
	case f.sd == 0:
		return func(x float64) float64 { return max(0, min(1, 0.5+(x-mean)/(2*wide(h)))) }
	case !f.uniform: // (1/2w)·∫ Φ((x − mean + u)/s) du over the bracket
		w, s := wide(h), f.sd
		return func(x float64) float64 {
			in := func(z float64) float64 { return z*normalCDF(z) + math.Exp(-z*z/2)/math.Sqrt(2*math.Pi) }
			return max(0, min(1, s/(2*w)*(in((x-mean+w)/s)-in((x-mean-w)/s))))
		}
	}
	a, b := wide(h), wide(f)
	ramp := func(z float64) float64 { return max(0, z) * max(0, z) / (8 * a * b) }
	return func(x float64) float64 { // the integral of the trapezium
		z := x - mean
		return max(0, min(1, ramp(z+a+b)-ramp(z+a-b)-ramp(z-a+b)+ramp(z-a-b)))
	}
}

// quantileOf halves the span of a distribution function down to its last digits.
func quantileOf(below func(float64) float64, mean, sd, p float64) float64 {
	lo, hi := mean-6*sd, mean+6*sd
	for range 80 {
		if mid := (lo + hi) / 2; below(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
