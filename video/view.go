package video

import (
	"context"
	"fmt"
	"image"

	"mesure/sport/mark"
)

// view is what a decoder makes of each frame: filters that follow on what it decodes, and
// the size of what comes out, before the picture is turned.
type view struct {
	filter string
	w, h   int
}

// whole is the picture as it is, with square pixels.
func (d *detail) whole() view {
	v := view{w: d.width, h: d.codedHeight}
	if d.width != d.codedWidth {
		v.filter = fmt.Sprintf(",scale=%d:%d:flags=bicubic,setsar=1", v.w, v.h)
	}
	return v
}

// scaling is how pictures are scaled: the same samples on every machine.
const scaling = "bicubic+accurate_rnd+bitexact"

// part is the part crop of the upright picture, scaled to w × h.
func (d *detail) part(crop image.Rectangle, w, h int) view {
	width, height := d.width, d.codedHeight
	switch d.rotation { // back to the picture as it lies in the file
	case 90:
		crop = image.Rect(crop.Min.Y, height-crop.Max.X, crop.Max.Y, height-crop.Min.X)
	case 180:
		crop = image.Rect(width-crop.Max.X, height-crop.Max.Y, width-crop.Min.X, height-crop.Min.Y)
	case 270:
		crop = image.Rect(width-crop.Max.Y, crop.Min.X, width-crop.Min.Y, crop.Max.X)
	}
	if d.rotation == 90 || d.rotation == 270 {
		w, h = h, w
	}
	v := view{w: w, h: h}
	if crop != image.Rect(0, 0, width, height) {
		v.filter = d.whole().filter + fmt.Sprintf(",crop=%d:%d:%d:%d:exact=1", crop.Dx(), crop.Dy(), crop.Min.X, crop.Min.Y)
	}
	if crop.Dx() != w || crop.Dy() != h || v.filter == "" && d.width != d.codedWidth {
		v.filter += fmt.Sprintf(",scale=%d:%d:flags=%s", w, h, scaling)
	}
	if v.filter != "" {
		v.filter += ",setsar=1"
	}
	return v
}

// FramesAt decodes the frames from and to and all between, in order, as Frames does: of
// each the part crop of the picture (in whole pixels of the clip, the whole picture where it
// is empty), scaled to w × h, in BT.709, limited range, SDR. The decoder cuts and scales, so
// that what is not wanted is not handed over. A point (u, v) of the picture (package mark)
// comes to lie at ((u + ½ − crop.Min.X)·w/crop.Dx() − ½) and likewise down. Colour has half
// the resolution: it lies half a pixel off where an edge of the part is odd.
//
// It panics on a size below 2. Errors: those of Frames; ErrNoFrame where the part does not
// lie in the picture; ErrTooLarge.
func (e *engine) FramesAt(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(Frame) error) error {
	if w < 2 || h < 2 {
		panic("video: FramesAt: a size below 2 pixels")
	}
	if err := checkRange(path, clip, from, to); err != nil {
		return err
	}
	all := image.Rect(0, 0, clip.Width, clip.Height)
	if crop.Empty() {
		crop = all
	}
	switch {
	case !crop.In(all):
		return ErrNoFrame.with(fmt.Sprintf("the picture of %d × %d has no part %v", clip.Width, clip.Height, crop),
			"choose a part within the picture").on(path, nil)
	case w > MaxWidth || h > MaxHeight || w*h > MaxPixels:
		return ErrTooLarge.with(fmt.Sprintf("a picture of %d × %d is too large", w, h), "stay within 8192 × 4352").on(path, nil)
	}
	var room *Frame
	at709 := func(f Frame) error {
		if room == nil {
			r := frameOver(make([]byte, frameBytes(w, h)), w, h)
			room = &r
		}
		return fn(f.as709(room))
	}
	if clip.Fields {
		// The lines between those of a field are worked out before anything is scaled.
		scaled := newScaler(crop, w, h)
		return e.fields(ctx, path, clip, from, to, func(f Frame) error { return at709(scaled.frame(f)) })
	}
	d, err := e.detailOf(ctx, path, clip)
	if err != nil {
		return err
	}
	return e.run(ctx, path, clip, d, d.part(crop, w, h), from, to, at709)
}
