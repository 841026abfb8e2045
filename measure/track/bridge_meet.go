package track

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Errors of following.
const (
	// slip is how fast, in pixels for the root of a frame of live picture, the patch
	// and the point that is meant part where nothing else is known.
	slip = 0.5
	// mostSD is the standard deviation, in pixels, above which a place is none.
	mostSD = 7.0
)

// meet brings the two ways together.
func (o *BridgeOptions) meet(a, b Anchor, there, back []link) []BridgeStep {
	n := int(b.Frame - a.Frame)
	// forward and backward of the step k frames after a.
	fwd := func(k int) link { return there[k-1] }
	bwd := func(k int) link { return back[n-k-1] }
	sa, sb := float64(a.SD)*float64(a.SD), float64(b.SD)*float64(b.SD)
	least := slip * slip / o.Slow
	// A way that arrives where the other mark is has followed the point; one that does
	// not has come off somewhere: what it is off is shared out over its frames.
	rf, rb := least, least
	if l := there[n-1]; !l.lost {
		rf = max(least, (off2(l.at, b.At)-l.open-sa-sb)/float64(n))
	}
	if l := back[n-1]; !l.lost {
		rb = max(least, (off2(l.at, a.At)-l.open-sa-sb)/float64(n))
	}
	if there[n-1].lost || back[n-1].lost {
		// Not both arrive: what lies between them where both see the point.
		sum, count := 0.0, 0.0
		for k := 1; k < n; k++ {
			if f, g := fwd(k), bwd(k); !f.lost && !g.lost {
				sum += off2(f.at, g.at) - f.open - g.open - sa - sb
				count++
			}
		}
		if count > 0 {
			r := max(least, sum/count/float64(n))
			if there[n-1].lost {
				rf = r
			}
			if back[n-1].lost {
				rb = r
			}
		}
	}
	out := make([]BridgeStep, 0, n-1)
	for k := 1; k < n; k++ {
		f, g := fwd(k), bwd(k)
		s := BridgeStep{Frame: a.Frame + mark.Frame(k)}
		vf, vb := sa+f.open+float64(k)*rf, sb+g.open+float64(n-k)*rb
		agree := 1.0
		var v float64
		var like float64
		switch {
		case f.lost && g.lost:
			s.Lost = true
		case g.lost:
			s.At, v, like = f.at, vf, f.sure()
		case f.lost:
			s.At, v, like = g.at, vb, g.sure()
		default:
			w := vb / (vf + vb)
			s.At = mark.Pixel{U: w*f.at.U + (1-w)*g.at.U, V: w*f.at.V + (1-w)*g.at.V}
			v = vf * vb / (vf + vb)
			d := off2(f.at, g.at)
			agree = math.Exp(-d / (4 * (sa + sb + float64(n)*least)))
			s.Lost = d > mostApart*mostApart*(vf+vb)
			like = max(f.sure(), g.sure())
		}
		s.SD = quantity.Pixels(math.Sqrt(v))
		s.Lost = s.Lost || s.SD > mostSD
		if s.Lost {
			s.At, s.Sure = o.between(a, b, s.Frame), 0
			s.SD = mostSD
		} else {
			s.Sure = like * (0.4 + 0.6*agree)
		}
		out = append(out, s)
	}
	return out
}

// mostApart is how many standard deviations the two ways may lie apart.
const mostApart = 3.0

// off2 is the mean square of the two coordinates of a difference.
func off2(p, q mark.Pixel) float64 {
	return ((p.U-q.U)*(p.U-q.U) + (p.V-q.V)*(p.V-q.V)) / 2
}

// sure makes a chance of the two likenesses.
func (l link) sure() float64 {
	ramp := func(x, from, to float64) float64 { return max(0, min(1, (x-from)/(to-from))) }
	return 0.6*ramp(l.like, 0.5, 0.95) + 0.4*ramp(l.first, 0, 0.8)
}

// alone makes steps of one way.
func (o *BridgeOptions) alone(a Anchor, links []link) []BridgeStep {
	out := make([]BridgeStep, 0, len(links))
	r2 := slip * slip / o.Slow
	sa := float64(a.SD) * float64(a.SD)
	end := 0
	for _, l := range links {
		k := math.Abs(float64(l.frame - a.Frame))
		s := BridgeStep{Frame: l.frame, At: l.at, SD: quantity.Pixels(math.Sqrt(sa + l.open + k*r2)), Sure: l.sure(), Lost: l.lost}
		if s.SD > mostSD {
			s.Lost = true
		}
		if s.Lost {
			s.At, s.Sure, s.SD = o.carried(a.Frame, l.frame, a.At), 0, mostSD
		}
		out = append(out, s)
		if !s.Lost {
			end = len(out)
		}
	}
	// Of the frames after the last one on which it was seen, one says that it is lost.
	return out[:min(len(out), end+1)]
}
