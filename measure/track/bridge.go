package track

import (
	"context"
	"fmt"
	"image"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Film hands out the brightness of frames, in any order; calls near each other in
// frame number are cheap. What it hands out is not changed.
type Film interface {
	Gray(f mark.Frame) (*image.Gray, error)
}

// Anchor is a mark that was set by hand.
type Anchor struct {
	Frame mark.Frame
	At    mark.Pixel
	// SD of the mark; zero means mark.DefaultSD.
	SD quantity.Pixels
}

// Ground says where the point of the background seen at p on the frame from is on
// the frame to: the camera's turn. It returns false where that is not known.
type Ground func(from, to mark.Frame, p mark.Pixel) (mark.Pixel, bool)

// BridgeOptions of Bridge and Onward. The zero value takes the defaults.
type BridgeOptions struct {
	// Ground is the camera's turn; nil takes the picture to stand still.
	Ground Ground
	// Hidden says on which frames the point cannot be seen: it is lost there and
	// nothing is looked for. Nil means on none.
	Hidden func(f mark.Frame) bool
	// Slow is how many seconds of the file show one second of the bout: a slower
	// replay moves less from frame to frame. Zero means 1.
	Slow float64
}

// BridgeStep is a followed point on one frame.
type BridgeStep struct {
	Frame mark.Frame
	At    mark.Pixel
	// SD of the place, alike in both directions; it holds the error of the marks.
	SD quantity.Pixels
	// Sure is how sure it is that this is the point, 0 to 1.
	Sure float64
	// Lost says that the point could not be followed here. At is then where a
	// straight line of the background's frame puts it: for drawing, not a measurement.
	Lost bool
}

// Bridge follows a point from one mark to the next and returns one step for each
// frame between them, in order of time.
//
// The patch about each mark is followed towards the other, forward x_f and backward
// x_b: each step by correlation about where the point should be by now, over the
// background and as fast as it went last, and then by Lucas and Kanade with brightness
// matched; what moves against the background counts for most. The two are brought
// together by inverse variance,
//
//	x = (x_f/V_f + x_b/V_b) / (1/V_f + 1/V_b),  V = s² + d² + k·r²
//
// with s the error of the mark, d what texture and noise leave open, k the frames since
// the mark and r how fast patch and point part: measured by how far from the other mark
// a way arrives. A way that arrives there outweighs one that does not. Units are
// pixels, instants are frames.
//
// Where the patch is no longer like itself or like that of its mark, the two ways lie
// apart beyond belief or cannot belong to one movement, or the point has left the
// picture, the step is lost; what lies beyond may be followed again. A lost step says
// so and is no measurement.
//
// Errors: the frames of a and b are not in order; film has no such frame; ctx ended.
// Sources: Lucas & Kanade, IJCAI 1981; Kalal et al., ICPR 2010 (both ways).
func Bridge(ctx context.Context, film Film, a, b Anchor, o BridgeOptions) ([]BridgeStep, error) {
	if b.Frame <= a.Frame {
		return nil, fmt.Errorf("track: a bridge goes from an earlier mark to a later one, not from frame %d to %d", a.Frame, b.Frame)
	}
	a, b, o = a.checked(), b.checked(), o.checked()
	if b.Frame == a.Frame+1 {
		return nil, ctx.Err()
	}
	there, err := o.chain(ctx, film, a, b.Frame, &b)
	if err != nil {
		return nil, err
	}
	back, err := o.chain(ctx, film, b, a.Frame, &a)
	if err != nil {
		return nil, err
	}
	return o.meet(a, b, there, back), nil
}

// Onward follows a point from one mark away from it, to the frame until (which is
// in it, and may lie before or after the mark), and returns one step a frame in order
// of the following: the first is the neighbour of the mark. It ends where the point is
// lost for good; the last step is then lost. Everything else is as in Bridge.
func Onward(ctx context.Context, film Film, a Anchor, until mark.Frame, o BridgeOptions) ([]BridgeStep, error) {
	a, o = a.checked(), o.checked()
	if until == a.Frame {
		return nil, ctx.Err()
	}
	links, err := o.chain(ctx, film, a, until, nil)
	if err != nil {
		return nil, err
	}
	return o.alone(a, links), nil
}

func (a Anchor) checked() Anchor {
	if !(a.SD > 0) || math.IsInf(float64(a.SD), 0) {
		a.SD = mark.DefaultSD
	}
	return a
}

func (o BridgeOptions) checked() BridgeOptions {
	if o.Ground == nil {
		o.Ground = func(_, _ mark.Frame, p mark.Pixel) (mark.Pixel, bool) { return p, true }
	}
	if o.Hidden == nil {
		o.Hidden = func(mark.Frame) bool { return false }
	}
	if !(o.Slow > 0) {
		o.Slow = 1
	}
	return o
}

// carried returns where the background at p has gone, or p where that is unknown.
func (o *BridgeOptions) carried(from, to mark.Frame, p mark.Pixel) mark.Pixel {
	if q, ok := o.Ground(from, to, p); ok {
		return q
	}
	return p
}

// between returns where a point is on a frame between two anchors that goes straight
// and evenly over the background.
func (o *BridgeOptions) between(a, b Anchor, f mark.Frame) mark.Pixel {
	p, q := o.carried(a.Frame, f, a.At), o.carried(b.Frame, f, b.At)
	t := float64(f-a.Frame) / float64(b.Frame-a.Frame)
	return mark.Pixel{U: p.U + t*(q.U-p.U), V: p.V + t*(q.V-p.V)}
}
