package picture

import (
	"context"
	"math"
	"math/rand/v2"
	"sync"

	"mesure/demo/scene"
	"mesure/quantity"
)

// Stage is the hall as one place of the camera sees it: a wide picture from
// which every frame cuts its part, since a camera that only turns and zooms
// sees one and the same picture through a homography.
type Stage struct {
	at                 vec
	right, down, ahead vec // axes of the wide picture
	focal              float64
	wide, high         int
	u0, v0             float64 // principal point in the wide picture
	pix                []float32
	cloth              []fold
	blocks             []block // what hides those who walk behind it
}

// Quality of the tracing.
const (
	raysPerSide = 2 // through each pixel of the wide picture, each way
	workers     = 2
)

// NewStage traces the hall for cameras that stand at one place: cams are enough
// of them to know how far the pictures reach. It stops early with the context's
// error.
func NewStage(ctx context.Context, cams []scene.Camera) (*Stage, error) {
	if len(cams) == 0 {
		panic("picture: a stage needs a camera")
	}
	s := &Stage{at: cams[0].At, cloth: newCloth(), blocks: blocks()}
	var pan, tilt float64
	for _, c := range cams {
		pan += float64(c.Pan) / float64(len(cams))
		tilt += float64(c.Tilt) / float64(len(cams))
		s.focal = math.Max(s.focal, float64(c.Focal))
	}
	base := scene.Camera{At: s.at, Pan: quantity.Radians(pan), Tilt: quantity.Radians(tilt), Focal: quantity.Pixels(s.focal)}
	s.right, s.down, s.ahead = base.Axes()
	s.frame(cams)
	return s, s.trace(ctx)
}

// frame sets the size of the wide picture so that every camera fits in.
func (s *Stage) frame(cams []scene.Camera) {
	lo, hi := vec{X: 1e9, Y: 1e9}, vec{X: -1e9, Y: -1e9}
	for _, c := range cams {
		for _, u := range [2]float64{-3, scene.Width + 2} {
			for _, v := range [2]float64{-3, scene.Height + 2} {
				d := rayOf(c, u, v)
				x, y := d.Dot(s.right)/d.Dot(s.ahead)*s.focal, d.Dot(s.down)/d.Dot(s.ahead)*s.focal
				lo.X, lo.Y = math.Min(lo.X, x), math.Min(lo.Y, y)
				hi.X, hi.Y = math.Max(hi.X, x), math.Max(hi.Y, y)
			}
		}
	}
	s.u0, s.v0 = 4-lo.X, 4-lo.Y
	s.wide, s.high = int(hi.X-lo.X)+9, int(hi.Y-lo.Y)+9
	s.pix = make([]float32, 3*s.wide*s.high)
}

// rayOf returns the direction, not of unit length, in which a camera sees a
// pixel.
func rayOf(c scene.Camera, u, v float64) vec {
	r, d, a := c.Axes()
	f := float64(c.Focal)
	return r.Mul((u - centreU) / f).Add(d.Mul((v - centreV) / f)).Add(a)
}

const (
	centreU = (scene.Width - 1) / 2.0
	centreV = (scene.Height - 1) / 2.0
)

func (s *Stage) trace(ctx context.Context) error {
	h := newHall()
	far := make([]float32, s.wide*s.high)
	if err := s.rows(ctx, func(y int) { s.traceRow(h, y, far) }); err != nil {
		return err
	}
	return s.soften(ctx, far)
}

// rows calls work for every row of the wide picture, two at a time, until the
// context ends.
func (s *Stage) rows(ctx context.Context, work func(y int)) error {
	rows := make(chan int)
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for y := range rows {
				work(y)
			}
		})
	}
	var err error
	for y := 0; y < s.high && err == nil; y++ {
		select {
		case rows <- y:
		case <-ctx.Done():
			err = ctx.Err()
		}
	}
	close(rows)
	wg.Wait()
	return err
}

// traceRow traces one row; far gets the distance of every pixel.
func (s *Stage) traceRow(h *hall, y int, far []float32) {
	chance := rand.New(rand.NewPCG(uint64(y), 20))
	const n = raysPerSide * raysPerSide
	for x := range s.wide {
		var sum rgb
		var dist float64
		for i := range n {
			ju := (float64(i%raysPerSide)+chance.Float64())/raysPerSide - 0.5
			jv := (float64(i/raysPerSide)+chance.Float64())/raysPerSide - 0.5
			d := s.right.Mul((float64(x) + ju - s.u0) / s.focal).Add(s.down.Mul((float64(y) + jv - s.v0) / s.focal)).Add(s.ahead).Unit()
			rough := vec{X: chance.Float64() - 0.5, Y: chance.Float64() - 0.5, Z: chance.Float64() - 0.5}
			c, t := h.light(s.at, d, rough)
			sum = sum.add(c)
			dist += t
		}
		p := s.pix[3*(y*s.wide+x):]
		p[0], p[1], p[2] = sum.r/n, sum.g/n, sum.b/n
		far[y*s.wide+x] = float32(dist / n)
	}
}
