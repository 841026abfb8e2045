package study

import (
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// fitLine is one coordinate of a fencer towards the opponent, over the frames on which it was
// measured: raw with its own SD, and smoothed with its speed.
type fitLine struct {
	frames       []mark.Frame
	at           []float64
	raw, sd      []float64
	place, speed []float64
	sign         float64
}

// first is the index of the first sample not before t; len where there is none.
func (l *fitLine) first(t float64) int {
	i, _ := slices.BinarySearch(l.at, t)
	return i
}

// lineOf is the line of a followed point; nil where too little was followed.
func (all *trails) lineOf(n trackName) *fitLine {
	x, ok := all.of(n)
	if !ok || !x.enough() {
		return nil
	}
	path := x.movement()
	if path == nil {
		return nil
	}
	l := &fitLine{sign: towards(n.who)}
	for i, s := range x.samples {
		place, speed, _ := path.At(s.At).Coordinate(0)
		l.frames, l.at = append(l.frames, x.frames[i]), append(l.at, float64(s.At))
		l.raw, l.sd = append(l.raw, l.sign*s.Where.Mean[0]), append(l.sd, math.Sqrt(s.Where.Covariance(0, 0)))
		l.place, l.speed = append(l.place, l.sign*float64(place.Mean)), append(l.speed, l.sign*float64(speed.Mean))
	}
	return l
}

// against is one line measured from another, where both were.
func (l *fitLine) against(o *fitLine) *fitLine {
	if l == nil || o == nil {
		return nil
	}
	out := &fitLine{sign: l.sign}
	for i, f := range l.frames {
		k, ok := slices.BinarySearch(o.frames, f)
		if !ok {
			continue
		}
		out.frames, out.at = append(out.frames, f), append(out.at, l.at[i])
		out.raw, out.sd = append(out.raw, l.raw[i]-o.raw[k]), append(out.sd, math.Hypot(l.sd[i], o.sd[k]))
		out.place, out.speed = append(out.place, l.place[i]-o.place[k]), append(out.speed, l.speed[i]-o.speed[k])
	}
	if len(out.at) < leastSamples {
		return nil
	}
	return out
}

// body is what was followed of a fencer in one take.
type followedBody struct {
	take string
	// arm is the guard from the shoulder, trunk the shoulder, front and rear the feet; nil
	// where not followed.
	arm, trunk, front, rear *fitLine
	// slow is the relative doubt of the take's time factor.
	slow float64
}

func (all *trails) bodyOf(take string, who mark.Side) followedBody {
	of := func(ws ...mark.What) *fitLine {
		for _, w := range ws {
			if l := all.lineOf(trackName{take, who, w}); l != nil {
				return l
			}
		}
		return nil
	}
	b := followedBody{take: take, front: of(mark.FrontToe, mark.FrontHeel), rear: of(mark.RearToe, mark.RearHeel)}
	b.trunk = of(mark.Shoulder, mark.Hip, mark.Mask)
	b.arm = of(mark.Guard).against(of(mark.Shoulder, mark.Hip, mark.Mask))
	return b
}

// fitStretch is the part of a line over which something moved: indices of the first and the
// last sample that belong to it.
type fitStretch struct{ from, to int }

// forth is a movement forward of a line: its stretch, with the rest before it, where it
// begins in it, how far it goes, and whether it began from rest.
type forth struct {
	fitStretch
	start float64
	gain  float64
	still bool
}

// travels is how a line goes forward at its quickest between two instants, from standing to
// standing. It is false where it goes less than least.
func (l *fitLine) travels(from, to, least float64) (m forth, ok bool) {
	if l == nil {
		return m, false
	}
	a, z := l.first(from), l.first(to)
	if a >= z {
		return m, false
	}
	top := a
	for k := a; k < z; k++ {
		if l.speed[k] > l.speed[top] {
			top = k
		}
	}
	if l.speed[top] < bodyStands {
		return m, false
	}
	first, last := top, top
	for first > 0 && l.speed[first] > bodyStands/3 && l.speed[first-1] < l.speed[first]+0.05 {
		first--
	}
	for last+1 < len(l.at) && l.speed[last] > bodyStands/3 && l.speed[last+1] < l.speed[last]+0.05 {
		last++
	}
	m = forth{start: l.at[first], gain: l.place[last] - l.place[first], still: math.Abs(l.speed[first]) <= bodyStands}
	for first > 0 && l.at[first-1] >= m.start-fitBefore && math.Abs(l.speed[first-1]) < bodyStands/2 {
		first--
	}
	for end := l.at[last] + fitBefore/2; last+1 < len(l.at) && l.at[last+1] <= end && math.Abs(l.speed[last+1]) < bodyStands/2; {
		last++
	}
	m.fitStretch = fitStretch{first, last}
	return m, m.gain >= least
}

// bodyStands is the speed below which a body stands, in m/s: that of motion.StandSpeed.
const bodyStands = 0.3

// samples takes a stretch of a line as samples of a fit.
func (l *fitLine) samples(s fitStretch, of timing.FitPart) (out []timing.FitSample) {
	for i := s.from; i <= s.to; i++ {
		out = append(out, timing.FitSample{At: quantity.Seconds(l.at[i]), Travel: quantity.Metres(l.raw[i]), SD: quantity.Metres(l.sd[i]), Of: of})
	}
	return out
}

// advances are the movements forward of a line that go at least so far.
func (l *fitLine) advances(least float64) (out []forth) {
	if l == nil {
		return nil
	}
	for k := 0; k < len(l.at); {
		if l.speed[k] < bodyStands {
			k++
			continue
		}
		top := k
		for k < len(l.at) && l.speed[k] >= bodyStands {
			if l.speed[k] > l.speed[top] {
				top = k
			}
			k++
		}
		if m, ok := l.travels(l.at[top]-1e-3, l.at[top]+1e-3, least); ok && m.still {
			out = append(out, m)
		}
	}
	return out
}
