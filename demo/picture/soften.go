package picture

import (
	"context"
	"math"
)

// The lens is sharp at the piste. What lies this many metres behind it is fully
// soft, over blurWide pixels for the focal length of the wide picture.
const (
	softFrom  = 1.5 // metres behind the axis of the piste, along the ray
	softFull  = 8.0
	blurTwice = 3.0 // pixels: standard deviation of the stronger blur at focal blurFocal
	blurOnce  = 1.2
	blurFocal = 2200
)

// soften blurs what is far behind the piste, as an open lens does: a mix of the
// sharp picture and two blurred ones by distance.
func (s *Stage) soften(ctx context.Context, far []float32) error {
	sharpAt := math.Hypot(s.at.Y, s.at.Z)
	scale := s.focal / blurFocal
	once, err := s.blurred(ctx, s.pix, blurOnce*scale)
	if err != nil {
		return err
	}
	twice, err := s.blurred(ctx, s.pix, blurTwice*scale)
	if err != nil {
		return err
	}
	for i, d := range far {
		k := float32(step(softFrom, softFull, float64(d)-sharpAt)) * 2
		for c := 3 * i; c < 3*i+3; c++ {
			if k < 1 {
				s.pix[c] += (once[c] - s.pix[c]) * k
			} else {
				s.pix[c] = once[c] + (twice[c]-once[c])*(k-1)
			}
		}
	}
	return ctx.Err()
}

// blurred returns the wide picture under a Gaussian of this standard deviation
// in pixels.
func (s *Stage) blurred(ctx context.Context, in []float32, sd float64) ([]float32, error) {
	n := int(math.Ceil(2.5 * sd))
	kernel := make([]float32, 2*n+1)
	var sum float32
	for i := range kernel {
		x := float64(i-n) / sd
		kernel[i] = float32(math.Exp(-x * x / 2))
		sum += kernel[i]
	}
	pass := func(from, to []float32, dx, dy int) error {
		return s.rows(ctx, func(y int) {
			for x := range s.wide {
				var r, g, b float32
				for i, k := range kernel {
					u := min(s.wide-1, max(0, x+(i-n)*dx))
					v := min(s.high-1, max(0, y+(i-n)*dy))
					p := from[3*(v*s.wide+u):]
					r, g, b = r+k*p[0], g+k*p[1], b+k*p[2]
				}
				o := to[3*(y*s.wide+x):]
				o[0], o[1], o[2] = r/sum, g/sum, b/sum
			}
		})
	}
	half, out := make([]float32, len(in)), make([]float32, len(in))
	if err := pass(in, half, 1, 0); err != nil {
		return nil, err
	}
	return out, pass(half, out, 0, 1)
}
