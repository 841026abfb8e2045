package video

import (
	"image"
	"math"
)

// scaler cuts and scales frames for which the decoder cannot: those whose lines are worked
// out here first. Both directions by cubic convolution (Keys, IEEE Trans. ASSP 29:1153,
// 1981, a = −½), widened where the picture shrinks so that nothing flickers.
type scaler struct {
	w, h            int
	across, along   []taps // brightness: columns, rows
	acrossC, alongC []taps // colour
	out             Frame
	between         []int32
}

// taps are the samples that make one: weights in fixed point, of sum 1.
type taps struct {
	at     []int
	weight []int32
}

// newScaler prepares to scale the part crop of pictures to w × h. Colour is sited as BT.709
// has it: on every second column, between two rows.
func newScaler(crop image.Rectangle, w, h int) *scaler {
	cw, ch := chroma(w, h)
	x0, y0 := float64(crop.Min.X), float64(crop.Min.Y)
	sx, sy := float64(crop.Dx())/float64(w), float64(crop.Dy())/float64(h)
	lumaX := func(i float64) float64 { return float64((i+0.5)*sx) - 0.5 + x0 }
	lumaY := func(i float64) float64 { return float64((i+0.5)*sy) - 0.5 + y0 }
	return &scaler{
		w: w, h: h, out: frameOver(make([]byte, frameBytes(w, h)), w, h),
		across:  tapsOf(w, sx, lumaX),
		along:   tapsOf(h, sy, lumaY),
		acrossC: tapsOf(cw, sx, func(i float64) float64 { return lumaX(2*i) / 2 }),
		alongC:  tapsOf(ch, sy, func(i float64) float64 { return (lumaY(2*i+0.5) - 0.5) / 2 }),
	}
}

// tapsOf lists the taps of n samples, sample i lying at place(i) of the source and each
// being as wide as step of the source's. Places beyond the edge are met by nearest.
func tapsOf(n int, step float64, place func(i float64) float64) []taps {
	wide := max(1, step)
	list := make([]taps, n)
	for i := range list {
		at := place(float64(i))
		first, last := int(math.Ceil(at-2*wide)), int(math.Floor(at+2*wide))
		sum := 0.0
		share := make([]float64, 0, last-first+1)
		for k := first; k <= last; k++ {
			v := cubic((float64(k) - at) / wide)
			share, sum = append(share, v), sum+v
		}
		left, biggest := int32(1)<<fixedTaps, 0
		for k, v := range share {
			w := int32(math.Round(v / sum * (1 << fixedTaps)))
			left -= w
			list[i].at, list[i].weight = append(list[i].at, first+k), append(list[i].weight, w)
			if v > share[biggest] {
				biggest = k
			}
		}
		list[i].weight[biggest] += left // an even picture stays even
	}
	return list
}

// fixedTaps is the number of fractional bits of a weight.
const fixedTaps = 14

func cubic(x float64) float64 {
	switch x = math.Abs(x); {
	case x < 1:
		return float64(x*x)*(1.5*x-2.5) + 1
	case x < 2:
		return float64(x*(float64(x*(2.5-0.5*x))-4)) + 2
	}
	return 0
}

// frame scales one frame. What it returns is valid until it is called again.
func (s *scaler) frame(f Frame) Frame {
	g := s.out
	g.Number, g.Time, g.Colour, g.bottomFirst = f.Number, f.Time, f.Colour, f.bottomFirst
	cw, ch := chroma(f.Width, f.Height)
	s.plane(g.Y, f.Y, f.Width, f.Height, s.across, s.along)
	s.plane(g.U, f.U, cw, ch, s.acrossC, s.alongC)
	s.plane(g.V, f.V, cw, ch, s.acrossC, s.alongC)
	return g
}

// plane scales one plane, columns first. Samples beyond the edge of the picture repeat it.
func (s *scaler) plane(dst, src []byte, w, h int, across, along []taps) {
	n := len(across)
	if len(s.between) < n*h {
		s.between = make([]int32, n*h)
	}
	for y := range h {
		row, out := src[y*w:y*w+w], s.between[y*n:y*n+n]
		for x, t := range across {
			var v int32
			for k, at := range t.at {
				v += t.weight[k] * int32(row[min(max(at, 0), w-1)])
			}
			out[x] = (v + 1<<(fixedTaps-5)) >> (fixedTaps - 4) // four bits finer than a sample
		}
	}
	for y, t := range along {
		for x := range n {
			var v int32
			for k, at := range t.at {
				v += t.weight[k] * s.between[min(max(at, 0), h-1)*n+x]
			}
			v = (v + 1<<(fixedTaps+3)) >> (fixedTaps + 4)
			dst[y*n+x] = uint8(min(max(v, 0), 255))
		}
	}
}
