package clip

import (
	"context"
	"image"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Footage hands out pictures of takes.
type Footage interface {
	// Run decodes the frames from and to of a take and all between, in order: the part
	// crop of the picture (pixels of the clip), scaled to w × h. What fn gets is valid
	// until it returns; an error of fn ends the work and is returned. Touch is empty
	// for the touch that is told.
	Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(f mark.Frame, p *image.YCbCr) error) error
}

// Sink takes the finished frames of one piece, in order. Close makes the piece whole;
// after Abort nothing is left of it.
type Sink interface {
	Add(p *image.YCbCr) error
	Close() error
	Abort()
}

// AlphaSink takes overlays alone, premultiplied.
type AlphaSink interface {
	Add(p *image.RGBA) error
	Close() error
	Abort()
}

// Studio writes pieces of a clip and puts them together. Paths are those of the machine
// that renders.
type Studio interface {
	Footage
	// Piece begins one piece. Equal frames give pieces that Join takes.
	Piece(ctx context.Context, path string, f Form, w, h int) (Sink, error)
	// Overlays begins one piece of a film of overlays with transparency.
	Overlays(ctx context.Context, path string, f Form, w, h int) (AlphaSink, error)
	// JoinOverlays puts pieces of overlays together in their order.
	JoinOverlays(ctx context.Context, path string, pieces []string, f Form) error
	// Join puts pieces together in their order, with sound and chapters.
	Join(ctx context.Context, path string, pieces []string, f Form, sounds []Sound, chapters []Chapter) error
	// Lost says, in one sentence each, what of the form this machine cannot write; the
	// clip then comes without it.
	Lost(f Form) []string
}

// Sound is the sound of a take where the clip plays it at speed.
type Sound struct {
	Touch, Take string
	From, To    mark.Frame
	// At is the instant of the clip at which From is heard.
	At quantity.Seconds
}

// Chapter opens at an instant of the clip.
type Chapter struct {
	At    quantity.Seconds
	Title string
}
