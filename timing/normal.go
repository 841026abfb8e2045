package timing

import "math"

// stream is a source of random numbers for one block of draws: SplitMix64 for
// the bits and a ziggurat of 256 layers for normal numbers. It is written out
// here because the draws of a race are most of its work, and a call through an
// interface for each of them costs as much as finding the arrival.
//
// Sources: Steele, Lea and Flood, OOPSLA 2014, figure 16; Marsaglia and Tsang, J.
// Stat. Softw. 5(8) (2000); Doornik, University of Oxford (2005), on taking
// layer and place from separate bits.
type stream struct{ state uint64 }

func (s *stream) bits() uint64 {
	s.state += 0x9e3779b97f4a7c15
	z := s.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// unit returns a number above 0 and below 1.
func (s *stream) unit() float64 { return (float64(s.bits()>>12) + 0.5) / (1 << 52) }

// layers of the ziggurat: all of equal area under exp(−x²/2), layer i reaching
// from 0 to edge[i], the lowest one with the tail beyond tailStart.
const layers = 256

// tailStart and layerArea are where the tail begins and the area of a layer:
// the solution of the condition that the 256th layer ends at the top (Doornik
// 2005; TestZigguratCloses).
const (
	tailStart = 3.6541528853610088
	layerArea = 4.92867323399e-3
)

// ziggurat has the edges of the layers, their heights and the share of each
// that lies under the curve at once.
var ziggurat = makeZiggurat()

type zig struct {
	edge, height [layers + 1]float64
	inside       [layers]float64
}

func makeZiggurat() *zig {
	z := &zig{}
	f := func(x float64) float64 { return math.Exp(-x * x / 2) }
	z.edge[0] = layerArea / f(tailStart)
	z.edge[1] = tailStart
	for i := 2; i < layers; i++ {
		z.edge[i] = math.Sqrt(-2 * math.Log(layerArea/z.edge[i-1]+f(z.edge[i-1])))
	}
	for i := range z.height {
		z.height[i] = f(z.edge[i])
	}
	for i := range z.inside {
		z.inside[i] = z.edge[i+1] / z.edge[i]
	}
	return z
}

// zigguratPlace takes the layer and the place in it, from −1 to 1, from separate
// bits.
func zigguratPlace(b uint64) (layer uint64, u float64) {
	return b & (layers - 1), float64(int64(b)>>11) / (1 << 52)
}

// normal returns a standard normal number.
func (s *stream) normal() float64 {
	i, u := zigguratPlace(s.bits())
	if math.Abs(u) < ziggurat.inside[i] {
		return u * ziggurat.edge[i]
	}
	return s.rim(i, u)
}

// rim goes on where the place is not surely under the curve.
func (s *stream) rim(i uint64, u float64) float64 {
	for {
		x := u * ziggurat.edge[i]
		switch {
		case math.Abs(u) < ziggurat.inside[i]:
			return x
		case i == 0:
			return math.Copysign(s.tail(), u)
		}
		h := ziggurat.height[i] + float64(s.unit()*(ziggurat.height[i+1]-ziggurat.height[i]))
		if h < math.Exp(-x*x/2) {
			return x
		}
		i, u = zigguratPlace(s.bits())
	}
}

// tail returns a number beyond tailStart (Marsaglia 1964).
func (s *stream) tail() float64 {
	for {
		x := -math.Log(s.unit()) / tailStart
		if -2*math.Log(s.unit()) > x*x {
			return tailStart + x
		}
	}
}
