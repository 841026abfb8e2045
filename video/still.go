package video

import (
	"context"
	"fmt"
	"image"

	"mesure/sport/mark"
)

// Still decodes one frame and returns it in red, green and blue, as *image.RGBA.
func (e *engine) Still(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (image.Image, error) {
	var img *image.RGBA
	err := e.Frames(ctx, path, clip, f, f, func(p Frame) error {
		img = p.RGBA()
		return nil
	})
	if err != nil {
		return nil, err
	}
	if img == nil {
		return nil, lost(path, f)
	}
	return img, nil
}

// Luma decodes the brightness of one frame, for measuring.
func (e *engine) Luma(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (*image.Gray, error) {
	var img *image.Gray
	err := e.Frames(ctx, path, clip, f, f, func(p Frame) error {
		img = p.Gray()
		return nil
	})
	if err != nil {
		return nil, err
	}
	if img == nil {
		return nil, lost(path, f)
	}
	return img, nil
}

// lost says that one frame is damaged beyond decoding.
func lost(path string, f mark.Frame) error {
	return ErrDamaged.with(fmt.Sprintf("frame %d is damaged and cannot be decoded", f), "use the frame before or after it").on(path, nil)
}
