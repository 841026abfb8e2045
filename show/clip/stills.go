package clip

import (
	"context"
	"image"
	"sync"

	"mesure/sport/mark"
)

// stills is a studio that decodes a single frame once while a clip is rendered: what
// stands is in several sections, and finding a frame costs a decoder of its own.
type stills struct {
	Studio
	mu  sync.Mutex
	all map[stillAt]*still
}

type stillAt struct {
	touch, take string
	frame       mark.Frame
	crop        image.Rectangle
	w, h        int
}

type still struct {
	mu sync.Mutex
	p  *image.YCbCr
}

func keepStills(s Studio) *stills { return &stills{Studio: s, all: map[stillAt]*still{}} }

// Run hands out the frames of the studio, single ones from memory where they are there.
func (s *stills) Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(f mark.Frame, p *image.YCbCr) error) error {
	if from != to {
		return s.Studio.Run(ctx, touch, take, from, to, crop, w, h, fn)
	}
	at := stillAt{touch, take, from, crop, w, h}
	s.mu.Lock()
	x := s.all[at]
	if x == nil {
		x = &still{}
		s.all[at] = x
	}
	s.mu.Unlock()
	p, err := x.once(func(keep func(*image.YCbCr)) error {
		return s.Studio.Run(ctx, touch, take, from, to, crop, w, h, func(_ mark.Frame, p *image.YCbCr) error {
			keep(p)
			return nil
		})
	})
	if p == nil || err != nil {
		return err
	}
	return fn(from, p)
}

// once is the picture, decoded where it is not there yet.
func (x *still) once(decode func(keep func(*image.YCbCr)) error) (*image.YCbCr, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.p != nil {
		return x.p, nil
	}
	err := decode(func(p *image.YCbCr) {
		x.p = image.NewYCbCr(image.Rect(0, 0, p.Rect.Dx(), p.Rect.Dy()), p.SubsampleRatio)
		if p.SubsampleRatio == image.YCbCrSubsampleRatio420 { // others are refused
			copyPlanes(x.p, image.Point{}, p)
		}
	})
	if err != nil {
		x.p = nil
	}
	return x.p, err
}
