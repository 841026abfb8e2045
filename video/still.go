package video

import (
	"context"
	"fmt"
	"image"

	"mesure/sport/mark"
)

// Still decodes one frame and returns it in red, green and blue, as *image.RGBA.
func (e *engine) Still(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (image.Image, error) {
	img, err := one(ctx, e, path, clip, f, Frame.RGBA)
	if err != nil {
		return nil, err
	}
	return img, nil
}

// Luma decodes the brightness of one frame, for measuring.
func (e *engine) Luma(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (*image.Gray, error) {
	return one(ctx, e, path, clip, f, Frame.Gray)
}

// one decodes a single frame and returns what take makes of it.
func one[T any](ctx context.Context, e *engine, path string, clip mark.Clip, f mark.Frame, take func(Frame) *T) (*T, error) {
	var img *T
	err := e.Frames(ctx, path, clip, f, f, func(p Frame) error {
		img = take(p)
		return nil
	})
	if err != nil {
		return nil, err
	}
	if img == nil {
		return nil, ErrDamaged.with(fmt.Sprintf("frame %d is damaged and cannot be decoded", f), "use the frame before or after it").on(path, nil)
	}
	return img, nil
}
