package timing

import (
	"math"

	"mesure/quantity"
)

// The usual sizes of the parries, to which the usual times belong: what the geometry
// asks of a right-handed fencer on guard, the hand 0.12 m outside and 0.55 m before the
// middle of the trunk at a height of 1.10 m, the point a little higher and further in,
// against a straight attack of another on the trunk (half-width 0.20 m) with the hand
// 1.3 m from it, the middle of the distances at which the trade reckons a parry, and
// ParryMargin to spare. That the usual times belong to this case is common practice, no
// source; it is borne out by their order: from the lateral parry's 160 ms, the sizes
// alone give 175 and 216 ms for the two others, where the trade says 190 and 220.
const (
	// UsualLateral is the path of a lateral parry to which its usual time belongs
	// (derived: a guard of sixte against an attack on the trunk from 1.3 m).
	UsualLateral = quantity.Metres(0.30)
	// UsualSemicircular is the same of a semicircular parry.
	UsualSemicircular = quantity.Metres(0.335)
	// UsualCircular is the same of a circular parry, its way round counted.
	UsualCircular = quantity.Metres(0.45)
)

// UsualSize is the usual size of one kind of parry; false for an answer that is none.
func UsualSize(kind Answer) (quantity.Metres, bool) {
	switch kind {
	case ParryLateral, ParryStepBack:
		return UsualLateral, true
	case ParrySemi:
		return UsualSemicircular, true
	case ParryCircular:
		return UsualCircular, true
	}
	return 0, false
}

// Sized returns the defence with the times of its parries for the sizes that are asked
// here (Sized, by the path of each kind against its usual one), so that the windows
// know that a close attack asks for a large parry and that this takes longer. The
// spread of the size adds to that of the time, to first order AimPerBit/ln 2 · SD/mean,
// and takes half its square off the mean of the logarithm.
// Kinds that do not serve here, and everything else, stay as they are; the usual times
// are those of d, the fencer's own where they are known.
func (d Defence) Sized(asked Asked) Defence {
	for _, k := range asked.Kinds {
		var t *quantity.Of[quantity.Seconds]
		switch k.Kind {
		case ParryLateral:
			t = &d.Lateral
		case ParrySemi:
			t = &d.Semicircular
		case ParryCircular:
			t = &d.Circular
		default:
			continue
		}
		if k.Way == nil || !(k.Path.Mean > 0) {
			continue
		}
		*t = k.Time(*t)
	}
	return d
}

// Time is how long this parry takes, from what the fencer's usual one of its kind does;
// the usual time where the kind does not serve.
func (k KindAsked) Time(usual quantity.Of[quantity.Seconds]) quantity.Of[quantity.Seconds] {
	than, ok := UsualSize(k.Kind)
	if !ok || k.Way == nil || !(k.Path.Mean > 0) {
		return usual
	}
	t, err := Sized(usual, k.Path.Mean, than)
	if err != nil {
		return usual
	}
	share := float64(k.Path.SD / k.Path.Mean)
	bySize := float64(AimPerBit) / math.Ln2 * share
	mean := max(t.Mean-quantity.Seconds(bySize*share/2), usual.Mean*shortestShare)
	return quantity.Normal(mean, quantity.Seconds(math.Hypot(float64(t.SD), bySize)))
}
