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
	slip = 0.35
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
		} else if f, g := ends(there), ends(back); f+g < n && !o.joins(a, b, there[:f], back[:g]) {
			// They never meet, and where one ends and the other begins does not go
			// together: the one that lies far off the straight line has left the point.
			away := func(x Anchor, way []link) float64 {
				if len(way) == 0 {
					return least
				}
				l := way[len(way)-1]
				d := off2(l.at, o.between(a, b, l.frame))
				k := float64(min(l.frame-a.Frame, b.Frame-l.frame))
				if near := baseJoin + liveJoin*k/o.Slow; 2*d < near*near {
					return least
				}
				return d / float64(len(way))
			}
			rf, rb = away(a, there[:f]), away(b, back[:g])
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

// ends returns how many steps of a way there are up to the last that is not lost.
func ends(way []link) int {
	n := len(way)
	for n > 0 && way[n-1].lost {
		n--
	}
	return n
}

// joins reports whether one movement can lead from the end of the way from a to the
// end of the way from b: each, going on for a while as it went
// last, must come near the other.
func (o *BridgeOptions) joins(a, b Anchor, there, back []link) bool {
	p, v := o.last(a, there)
	q, w := o.last(b, back)
	m := float64(q.frame - p.frame)
	if m > mostJoin*o.Slow {
		return true // in so long a time it can have gone anywhere
	}
	near := baseJoin + liveJoin*m/o.Slow
	meets := func(x, y link, v mark.Pixel, m float64) bool {
		z := o.carried(x.frame, y.frame, x.at)
		k := min(m, keepsOn*o.Slow)
		return math.Hypot(z.U+k*v.U-y.at.U, z.V+k*v.V-y.at.V) <= near
	}
	return meets(p, q, v, m) && meets(q, p, w, m)
}

// How far, in pixels, two ways may miss each other: at once, and more for each live
// frame between them; and for how many live frames a movement is taken to go on.
const (
	baseJoin = 8.0
	liveJoin = 4.0
	keepsOn  = 4.0
	mostJoin = 16.0 // live frames between them
)

// last returns the end of a way and how fast it went over the background there, in
// pixels a frame of the way.
func (o *BridgeOptions) last(a Anchor, way []link) (link, mark.Pixel) {
	all := []link{{frame: a.Frame, at: a.At}}
	for _, l := range way {
		if !l.lost {
			all = append(all, l)
		}
	}
	end := all[len(all)-1]
	from := all[max(0, len(all)-4)]
	if n := math.Abs(float64(end.frame - from.frame)); n > 0 {
		p := o.carried(from.frame, end.frame, from.at)
		return end, mark.Pixel{U: (end.at.U - p.U) / n, V: (end.at.V - p.V) / n}
	}
	return end, mark.Pixel{}
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
