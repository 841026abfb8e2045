package video

import (
	"context"

	"mesure/sport/mark"
)

// fields is Frames of a clip that is split: each frame is decoded once and handed
// out as its two fields.
func (e *engine) fields(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, fn func(Frame) error) error {
	whole := clip.Whole()
	room := make([]byte, frameBytes(clip.Width, clip.Height))
	return e.Frames(ctx, path, whole, from/2, to/2, func(f Frame) error {
		for later := range mark.Frame(2) {
			n := 2*f.Number + later
			if n < from || n > to {
				continue
			}
			g := f.field((later == 1) != f.bottomFirst, clip.Rotation, room)
			g.Number, g.Time = n, clip.Times[n]
			if err := fn(g); err != nil {
				return err
			}
		}
		return nil
	})
}

// field returns the upper or the lower field of a frame that was turned clockwise
// by so many degrees, laid over room. The lines of the field stay where they are
// in the picture, so that both fields share its coordinates; the lines between
// them are interpolated from the field alone. Nothing of the other instant is in
// it, at the price of half the sharpness across the lines.
func (f Frame) field(lower bool, turned int, room []byte) Frame {
	g := frameOver(room, f.Width, f.Height)
	g.Colour, g.bottomFirst = f.Colour, f.bottomFirst
	cw, ch := chroma(f.Width, f.Height)
	keepLines(g.Y, f.Y, f.Width, f.Height, lower, turned)
	keepLines(g.U, f.U, cw, ch, lower, turned)
	keepLines(g.V, f.V, cw, ch, lower, turned)
	return g
}

// keepLines keeps every second line of a plane and interpolates the others. A
// plane that was turned by a quarter has its lines as columns, and by 180 and 90
// degrees the first line is the last.
func keepLines(dst, src []byte, w, h int, lower bool, turned int) {
	lines, length, next, along := h, w, w, 1
	if turned == 90 || turned == 270 {
		lines, length, next, along = w, h, 1, w
	}
	first := 0 // the first line that is kept
	if lower {
		first = 1
	}
	if turned == 180 || turned == 90 {
		first = (lines - 1 - first) & 1
	}
	for line := range lines {
		if line&1 == first || lines < 2 {
			for i, at := 0, line*next; i < length; i, at = i+1, at+along {
				dst[at] = src[at]
			}
			continue
		}
		// The lines above and below, those beyond them; at the edge the nearest.
		near := func(l int) int {
			for l < 0 {
				l += 2
			}
			for l >= lines {
				l -= 2
			}
			return l * next
		}
		a, b, c, d := near(line-3), near(line-1), near(line+1), near(line+3)
		for i, at := 0, 0; i < length; i, at = i+1, at+along {
			v := (9*(int(src[b+at])+int(src[c+at])) - int(src[a+at]) - int(src[d+at]) + 8) >> 4
			dst[line*next+at] = uint8(min(255, max(0, v)))
		}
	}
}
