package clip

import (
	"context"
	"image"

	"mesure/quantity"
	"mesure/show/handoff"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Input is everything that a film follows from.
type Input struct {
	// Reading of the touch that is told, with its tracks where it was followed.
	Reading *study.Reading
	// Script has the words, and with its options how fencers are called.
	Script *script.Script
	Board  Board
	Plates []report.Plate
	// Others are the readings of what plays beside, by Other.Touch.
	Others map[string]*study.Reading
	// Program is the version of the program, part of every key.
	Program string
}

// Film is a storyboard bound to its reading: every frame of the clip follows from it.
// Its methods may be called at the same time. Nothing of the input is changed.
type Film struct {
	in       Input
	form     Form
	troubles []Trouble
}

// Piece is one shot as a stretch of the finished clip.
type Piece struct {
	// Shot is the ID of the shot.
	Shot string
	// First is the number of its first frame in the clip, Frames how many it has.
	First, Frames int
	// Key is a hash of everything that its pixels follow from: two pieces of one key are
	// the same pictures.
	Key string
}

// Make binds a storyboard to its reading. A shot that cannot be shown is left out and
// told by Troubles. The error is a *Trouble where the form is none or the touch is
// missing.
func Make(in Input) (*Film, error) { return nil, errNotYet }

// errNotYet stands until the pictures are built.
var errNotYet = &Trouble{What: "clips cannot be made yet", Mend: "wait for the next version"}

// Troubles are the shots that were left out or shown in part, and why.
func (f *Film) Troubles() []Trouble { return f.troubles }

// Size of the pictures in pixels, both even.
func (f *Film) Size() (w, h int) { return 0, 0 }

// Frames is how many frames the clip has.
func (f *Film) Frames() int { return 0 }

// Lasts is how long the clip is: Frames over the rate.
func (f *Film) Lasts() quantity.Seconds { return 0 }

// Pieces are the shots in order; their frames add up to Frames.
func (f *Film) Pieces() []Piece { return nil }

// Picture is one frame of the clip, as the clip shows it.
func (f *Film) Picture(ctx context.Context, footage Footage, n int) (*image.RGBA, error) {
	return nil, errNotYet
}

// PictureAt is Picture at another width, drawn for it.
func (f *Film) PictureAt(ctx context.Context, footage Footage, n, width int) (*image.RGBA, error) {
	return nil, errNotYet
}

// Cues are the lines of the script at their time, with the chapters that they open.
func (f *Film) Cues() []handoff.Cue { return nil }

// Chapters are where a shot with a title begins.
func (f *Film) Chapters() []Chapter { return nil }

// Sounds are the takes that play at speed, where the form asks for sound.
func (f *Film) Sounds() []Sound { return nil }

// Cut is the clip for an editor, with the moments of the touch as markers. Files are
// named as the touch names them.
func (f *Film) Cut() handoff.Cut { return handoff.Cut{} }

// RenderTo writes the clip. Finished pieces are kept in the folder cache under their
// keys and used again by the next render; an empty cache keeps none. tell may be nil
// and is called with the share that is done. After an error nothing stands at path that
// was not there before; finished pieces stay.
func (f *Film) RenderTo(ctx context.Context, path, cache string, s Studio, tell func(share float64)) error {
	return errNotYet
}

// RenderOverlays writes the overlays alone, with transparency: as long as the clip, and
// frame for frame.
func (f *Film) RenderOverlays(ctx context.Context, path string, s Studio, tell func(share float64)) error {
	return errNotYet
}

// OverlayPNG is the overlay of one frame alone, premultiplied.
func (f *Film) OverlayPNG(n int) (*image.RGBA, error) { return nil, errNotYet }
