package timing

import (
	"math"

	"mesure/quantity"
)

// Names of the inputs of a race, as Matter names them.
const (
	InputGap        = "gap"
	InputArmTravel  = "arm travel"
	InputArmTime    = "arm time"
	InputBodyTravel = "body travel"
	InputBodyTime   = "body time"
	InputBodyDelay  = "body delay"
	InputOnset      = "onset"
	InputReaction   = "reaction"
)

// The inputs of one side, by index.
const (
	inGap = iota
	inArmTravel
	inArmTime
	inBodyTravel
	inBodyTime
	inBodyDelay
	inOnset
	inputs // how many
)

// Bounds of what a race accepts: far beyond any piste, so that they only catch
// mistakes of unit or sign.
const (
	maxLength = 100  // metres
	maxTime   = 1000 // seconds
	// MaxDraws is the greatest number of draws that Run accepts.
	MaxDraws = 10_000_000
)

// shortestShare is the share of its mean below which no duration is drawn: a
// movement five times as quick as usual is a tail of the normal law, not of
// fencers (no source).
const shortestShare = 0.2

// input is one uncertain number: normal or uniform, drawn again while it lies
// outside [lo, hi].
type input struct {
	mean, sd, lo, hi float64
	uniform          bool
}

// redraws bounds how often a draw is repeated; each input has at least half of
// its law inside its bounds, so that the mean is used for less than one draw in
// 10¹⁸.
const redraws = 60

func (in *input) draw(rng *stream) float64 {
	if in.sd == 0 {
		return in.mean
	}
	for range redraws {
		var z float64
		if in.uniform {
			z = math.Sqrt(12) * (rng.unit() - 0.5)
		} else {
			z = rng.normal()
		}
		if v := in.mean + float64(in.sd*z); v >= in.lo && v <= in.hi {
			return v
		}
	}
	return in.mean
}

// fill draws the input again and again.
func (in *input) fill(dst []float64, rng *stream) {
	if in.uniform {
		for j := range dst {
			dst[j] = in.draw(rng)
		}
		return
	}
	for j := range dst {
		b := rng.bits()
		i, u := zigguratPlace(b)
		if in := ziggurat.inside[i]; u < in && u > -in { // nearly always
			u *= ziggurat.edge[i]
		} else {
			u = rng.rim(i, u)
		}
		v := in.mean + float64(in.sd*u)
		if !(v >= in.lo && v <= in.hi) {
			v = in.draw(rng)
		}
		dst[j] = v
	}
}

// part is a draw of a uniform input from 21 bits of a random number: steps of
// half a millionth of the band, so that one number serves for three inputs.
func (in *input) part(bits uint64) float64 {
	const n = 1 << 21
	return in.mean + float64(in.sd*math.Sqrt(12)*((float64(bits%n)+0.5)/n-0.5))
}

// drawWith is draw for a normal input that goes with another standard normal
// number by the correlation r; rest is √(1−r²).
func (in *input) drawWith(rng *stream, other, r, rest float64) float64 {
	if in.sd == 0 {
		return in.mean
	}
	for range redraws {
		if v := in.mean + float64(in.sd*(float64(r*other)+float64(rest*rng.normal()))); v >= in.lo && v <= in.hi {
			return v
		}
		if rest == 0 { // nothing new to draw
			break
		}
	}
	return max(in.lo, min(in.hi, in.mean+float64(in.sd*r*other)))
}

// inputsOf checks one runner and lists its inputs.
func inputsOf(side string, r Runner) (in [inputs]input, err error) {
	inf := math.Inf(1)
	m := r.Movement
	if in[inGap], err = lengthInput(side+" gap", r.Gap, 0, inf); err != nil {
		return in, err
	}
	lo, hi := signBounds(float64(m.Arm.Mean))
	if in[inArmTravel], err = lengthInput(side+" arm travel", m.Arm, lo, hi); err != nil {
		return in, err
	}
	lo, hi = signBounds(float64(m.Body.Mean))
	if in[inBodyTravel], err = lengthInput(side+" body travel", m.Body, lo, hi); err != nil {
		return in, err
	}
	if in[inArmTime], err = durationInput(side+" arm time", m.ArmTime, m.Arm); err != nil {
		return in, err
	}
	if in[inBodyTime], err = durationInput(side+" body time", m.BodyTime, m.Body); err != nil {
		return in, err
	}
	if in[inBodyDelay], err = timeInput(side+" body delay", m.Delay); err != nil {
		return in, err
	}
	if m.Body.Mean == 0 && m.Body.SD == 0 {
		in[inBodyDelay] = input{}
	}
	if in[inOnset], err = timeInput(side+" onset", r.Onset.Time); err != nil {
		return in, err
	}
	in[inOnset].uniform = r.Onset.Uniform
	if r.Onset.AfterOther {
		in[inOnset].lo = 0
		if !(r.Onset.Time.Mean >= 0) {
			return in, &InputError{side + " reaction", float64(r.Onset.Time.Mean), "positive, in seconds"}
		}
	}
	if k := float64(r.TargetOnArm); !(k >= 0 && k <= 1) {
		return in, &InputError{side + " share of the arm in the target", k, "between 0 and 1"}
	}
	return in, nil
}

// signBounds keeps the draws of a length on the side of zero where its mean is.
func signBounds(mean float64) (lo, hi float64) {
	switch {
	case mean > 0:
		return 0, math.Inf(1)
	case mean < 0:
		return math.Inf(-1), 0
	}
	return math.Inf(-1), math.Inf(1)
}

func lengthInput(field string, q quantity.Of[quantity.Metres], lo, hi float64) (input, error) {
	v, sd := float64(q.Mean), float64(q.SD)
	if !(math.Abs(v) <= maxLength) || v < lo {
		want := "a length of at most 100 m"
		if lo == 0 {
			want = "a length between 0 and 100 m"
		}
		return input{}, &InputError{field, v, want}
	}
	if !(sd >= 0 && sd <= maxLength) {
		return input{}, &InputError{field + " SD", sd, "a spread between 0 and 100 m"}
	}
	return input{mean: v, sd: sd, lo: lo, hi: hi}, nil
}

func timeInput(field string, q quantity.Of[quantity.Seconds]) (input, error) {
	v, sd := float64(q.Mean), float64(q.SD)
	if !(math.Abs(v) <= maxTime) {
		return input{}, &InputError{field, v, "a time of at most 1000 s"}
	}
	if !(sd >= 0 && sd <= maxTime) {
		return input{}, &InputError{field + " SD", sd, "a spread between 0 and 1000 s"}
	}
	return input{mean: v, sd: sd, lo: math.Inf(-1), hi: math.Inf(1)}, nil
}

// minDuration is the shortest mean duration accepted, in seconds.
const minDuration = 1e-3

// durationInput is timeInput for the time of a movement: positive wherever the
// movement has a length, ignored where it has none.
func durationInput(field string, q quantity.Of[quantity.Seconds], length quantity.Of[quantity.Metres]) (input, error) {
	if length.Mean == 0 && length.SD == 0 {
		return input{mean: 1, lo: 0, hi: 1}, nil
	}
	in, err := timeInput(field, q)
	if err != nil {
		return in, err
	}
	if in.mean < minDuration {
		return in, &InputError{field, in.mean, "at least 0.001 s, since the movement has a length"}
	}
	in.lo = shortestShare * in.mean
	return in, nil
}

// check looks at the apparatus.
func (a Apparatus) check() error {
	for _, c := range []struct {
		field string
		v     quantity.Seconds
	}{{"window", a.Window}, {"tolerance of the window", a.Tolerance}, {"shortest contact", a.ContactMin}, {"longest contact", a.ContactMax}} {
		if !(c.v >= 0 && c.v <= maxTime) {
			return &InputError{c.field, float64(c.v), "a time between 0 and 1000 s"}
		}
	}
	if a.Tolerance > a.Window {
		return &InputError{"tolerance of the window", float64(a.Tolerance), "no greater than the window"}
	}
	if a.ContactMax < a.ContactMin {
		return &InputError{"longest contact", float64(a.ContactMax), "no shorter than the shortest"}
	}
	return nil
}
