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
	r2 := slip * slip / o.Slow
	// What lies between the ways where both see the point.
	var sum, count, open float64
	add := func(p, q mark.Pixel, v float64) {
		sum += ((p.U-q.U)*(p.U-q.U) + (p.V-q.V)*(p.V-q.V)) / 2
		open += v
		count++
	}
	for k := 1; k < n; k++ {
		if f, g := fwd(k), bwd(k); !f.lost && !g.lost {
			add(f.at, g.at, f.open+g.open)
		}
	}
	if l := there[n-1]; !l.lost {
		add(l.at, b.At, l.open)
	}
	if l := back[n-1]; !l.lost {
		add(l.at, a.At, l.open)
	}
	if count > 0 {
		r2 = max(r2, (sum-open)/count/float64(n)-(sa+sb)/float64(n))
	}
	out := make([]BridgeStep, 0, n-1)
	for k := 1; k < n; k++ {
		f, g := fwd(k), bwd(k)
		s := BridgeStep{Frame: a.Frame + mark.Frame(k)}
		vf, vb := sa+f.open+float64(k)*r2, sb+g.open+float64(n-k)*r2
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
			d := math.Hypot(f.at.U-g.at.U, f.at.V-g.at.V)
			agree = math.Exp(-d * d / 2 / (4 * (sa + sb + float64(n)*slip*slip/o.Slow)))
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
