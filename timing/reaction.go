package timing

import (
	"fmt"
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// The cue: when an attack can first be seen, and until when it can be changed.
const (
	// CueShareLow is the least share of its travel that the arm or the body has
	// done when an attentive defender notices it (common practice, no source; by
	// the minimum-jerk curve 19 % of the time is gone then).
	CueShareLow = quantity.Ratio(0.05)
	// CueShareHigh is the greatest such share (common practice, no source; 25 % of
	// the time is gone then).
	CueShareHigh = quantity.Ratio(0.10)
	// ReAimTime is how long before its hit a running lunge can still be re-aimed:
	// half of the tries succeed at 277 ms (Zeuwts, Archives of Budo 13(1), 2017, 8
	// elite épéeists; tested from 100 to 380 ms).
	ReAimTime = quantity.Seconds(0.277)
	// ReAimTimeSD is our spread of ReAimTime between fencers (no source).
	ReAimTimeSD = quantity.Seconds(0.050)
	// AimPerBit is by how much an aimed movement of the arm slows with each
	// doubling of its length over the width of its goal (Fitts, J. Exp. Psychol.
	// 47:381, 1954: 94.7 ms with a light stylus).
	AimPerBit = quantity.Seconds(0.095)
)

// Reaction is how long a fencer takes from a cue to the first movement,
//
//	T = Simple + Bits·PerChoice,
//
// in seconds, both normal and independent, and T never below zero.
//
// Source: Hick, Q. J. Exp. Psychol. 4:11 (1952) for answers equally likely; Hyman,
// J. Exp. Psychol. 45:188 (1953) for others.
type Reaction struct {
	// Simple is the time to one known cue with one known answer: Visual() or
	// Tactile(), or the fencer's own.
	Simple quantity.Of[quantity.Seconds]
	// PerChoice is the cost of each bit of choice: PerChoice(), or the fencer's.
	PerChoice quantity.Of[quantity.Seconds]
	// Bits of choice: log2 of the number of answers that are equally likely, or
	// ChoiceBits of their chances.
	Bits quantity.Ratio
}

// VisualAmong returns the default reaction to something seen, among this many
// answers equally likely. It panics if choices is below 1.
func VisualAmong(choices int) Reaction { return among(Visual(), choices) }

// TactileAmong returns the same for a contact of the blades that is felt.
func TactileAmong(choices int) Reaction { return among(Tactile(), choices) }

func among(simple quantity.Of[quantity.Seconds], choices int) Reaction {
	if choices < 1 {
		panic("timing: a reaction needs at least one answer to choose")
	}
	return Reaction{Simple: simple, PerChoice: PerChoice(), Bits: quantity.Ratio(math.Log2(float64(choices)))}
}

// ChoiceBits returns the uncertainty Σ p·log2(1/p) of answers with these
// chances, in bits: log2 of their number where all are equal, less otherwise
// (Hyman 1953). It returns *InputError where a chance is not between 0 and 1 or
// they do not sum to 1 (within a millionth).
func ChoiceBits(chances []quantity.Chance) (quantity.Ratio, error) {
	sum, bits := 0.0, 0.0
	for i, c := range chances {
		p := float64(c)
		if !(p >= 0 && p <= 1) {
			return 0, &InputError{fmt.Sprintf("chance of answer %d", i+1), p, "between 0 and 1"}
		}
		sum += p
		if p > 0 {
			bits -= float64(p * math.Log2(p))
		}
	}
	if math.Abs(sum-1) > 1e-6 {
		return 0, &InputError{"sum of the chances of the answers", sum, "1"}
	}
	return quantity.Ratio(bits), nil
}

// Law returns the reaction as one normal number (before the cut at zero), the
// spreads added in squares.
func (r Reaction) Law() quantity.Of[quantity.Seconds] {
	b := float64(r.Bits)
	return quantity.Normal(
		r.Simple.Mean+quantity.Seconds(b*float64(r.PerChoice.Mean)),
		quantity.Seconds(math.Hypot(float64(r.Simple.SD), b*float64(r.PerChoice.SD))))
}

// Draws returns n draws of the reaction, in seconds. It returns *InputError for a
// reaction that cannot be one, or n below 1. src may be nil only where nothing is
// uncertain.
func (r Reaction) Draws(n int, src rand.Source) ([]quantity.Seconds, error) {
	if n < 1 || n > MaxDraws {
		return nil, &InputError{"number of draws", float64(n), "between 1 and 10 million"}
	}
	in, err := r.input()
	if err != nil {
		return nil, err
	}
	seed, err := seedOf(src, in.sd == 0)
	if err != nil {
		return nil, err
	}
	law, rng := lawOf(in), &stream{seed}
	out := make([]quantity.Seconds, n)
	for i := range out {
		out[i] = quantity.Seconds(law.at(rng.normal()))
	}
	return out, nil
}

// input checks the reaction.
func (r Reaction) input() (input, error) {
	if _, err := timeInput("reaction", r.Simple); err != nil {
		return input{}, err
	}
	if r.Simple.Mean < 0 {
		return input{}, &InputError{"reaction", float64(r.Simple.Mean), "positive, in seconds"}
	}
	if _, err := timeInput("cost of a choice", r.PerChoice); err != nil {
		return input{}, err
	}
	if r.PerChoice.Mean < 0 {
		return input{}, &InputError{"cost of a choice", float64(r.PerChoice.Mean), "zero or positive, in seconds"}
	}
	if b := float64(r.Bits); !(b >= 0 && b <= 20) {
		return input{}, &InputError{"choice in bits", b, "between 0 (one answer) and 20"}
	}
	in, err := timeInput("reaction with its choice", r.Law())
	in.lo = 0
	return in, err
}

// MinimumJerkTime is the inverse of MinimumJerk: the share of the time at which
// this share of a movement is done, right to 10⁻⁹; 0 below 0 and 1 above 1.
func MinimumJerkTime(done float64) float64 {
	switch {
	case !(done > 0):
		return 0
	case done >= 1:
		return 1
	case done > 0.5: // the curve is symmetric about its middle
		return 1 - MinimumJerkTime(1-done)
	}
	// In the cube root of the share the inverse is smooth: 10τ³ near the start.
	w := nearCbrt(done/10) * inverse.scale
	i := int(w)
	t := inverse.t[i] + float64((w-float64(i))*(inverse.t[i+1]-inverse.t[i]))
	v := MinimumJerkSpeed(t)
	if v < 1e-12 { // a share of 10⁻¹⁸ and less: the table is exact enough
		return t
	}
	off := MinimumJerk(t) - done
	return t - off*v/(float64(v*v)-float64(0.5*off*MinimumJerkAcceleration(t)))
}

// nearCbrt is the cube root to within 3·10⁻⁵ of itself, in half the time of the exact
// one: a third of the exponent by its bits, and one step of Halley's method. The step
// after the table makes the rest good.
func nearCbrt(x float64) float64 {
	if x < 1e-300 { // the cube would lose its digits
		return math.Cbrt(x)
	}
	y := math.Float64frombits(math.Float64bits(x)/3 + 0x2A9F7893782DA1CE)
	cube := float64(float64(y*y) * y)
	return y * ((cube + float64(2*x)) / (float64(2*cube) + x))
}

// inverse has MinimumJerkTime at equal steps of the cube root of a tenth of the
// share, from 0 to just above ½; one step of Halley's method does the rest.
var inverse = makeInverse()

const inverseSteps = 256

type inverseTable struct {
	scale float64
	t     [inverseSteps + 2]float64
}

func makeInverse() *inverseTable {
	k := &inverseTable{scale: inverseSteps / math.Cbrt(0.05)}
	for i := 1; i < len(k.t); i++ { // t[0] is 0
		w := float64(i) / k.scale
		done, lo, hi := 10*w*w*w, 0.0, 1.0
		for range 60 {
			if mid := (lo + hi) / 2; MinimumJerk(mid) < done {
				lo = mid
			} else {
				hi = mid
			}
		}
		k.t[i] = (lo + hi) / 2
	}
	return k
}

// CueTime returns how long after its onset an attack can be seen: when its arm or
// its body, whichever is first, has done this share of its own travel, at the
// mean of every parameter; false where nothing moves. With share 0.05 a single
// movement has lost 19 % of its time, with 0.10 a quarter.
func (m Movement) CueTime(share quantity.Ratio) (quantity.Seconds, bool) {
	tau := MinimumJerkTime(float64(share))
	t := math.Inf(1)
	if m.Arm.Mean != 0 {
		t = float64(tau * float64(m.ArmTime.Mean))
	}
	if m.Body.Mean != 0 {
		t = min(t, float64(m.Delay.Mean)+float64(tau*float64(m.BodyTime.Mean)))
	}
	if math.IsInf(t, 1) {
		return 0, false
	}
	return quantity.Seconds(t), true
}

// AimBits returns the difficulty log2(2·distance/width) of an aimed movement, in
// bits. It returns *InputError where a length is not positive.
//
// Source: Fitts, J. Exp. Psychol. 47:381 (1954).
func AimBits(distance, width quantity.Metres) (quantity.Ratio, error) {
	if !(distance > 0 && distance <= maxLength) {
		return 0, &InputError{"distance of an aimed movement", float64(distance), "a positive length of at most 100 m"}
	}
	if !(width > 0 && width <= maxLength) {
		return 0, &InputError{"width of a goal", float64(width), "a positive length of at most 100 m"}
	}
	return quantity.Ratio(math.Log2(2 * float64(distance/width))), nil
}

// Sized returns the time of a parry that is larger or smaller than usual, given
// its time at the usual size: usual + AimPerBit·log2(size/usualSize), at least a
// fifth of the usual; the width of the goal drops out of the difference of two
// AimBits. A close distance asks for a large parry, and that takes longer.
func Sized(usual quantity.Of[quantity.Seconds], size, usualSize quantity.Metres) (quantity.Of[quantity.Seconds], error) {
	more, err := AimBits(size, 1)
	if err != nil {
		return quantity.Of[quantity.Seconds]{}, err
	}
	than, err := AimBits(usualSize, 1)
	if err != nil {
		return quantity.Of[quantity.Seconds]{}, err
	}
	mean := usual.Mean + quantity.Seconds(float64(AimPerBit)*float64(more-than))
	return quantity.Normal(max(mean, usual.Mean*shortestShare), usual.SD), nil
}
