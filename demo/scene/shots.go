package scene

import (
	"image"

	"mesure/quantity"
	"mesure/sport/mark"
)

func seconds(t float64) quantity.Seconds { return quantity.Seconds(t) }

// ReplayFactor is how many seconds of the replay show one second of the bout.
const ReplayFactor = 4

// Where the graphics of the broadcast stand in the picture: the box with the score
// and the clock below the piste, the word over a replay in a corner.
var (
	scoreBox  = image.Rect(364, 644, 916, 696)
	replayTag = image.Rect(48, 40, 188, 76)
)

// cutFrames is how long a file goes on after a cut.
const cutFrames = 15

// liveShot is the broadcast camera on its platform: it stands still over the
// middle of the piste, follows and zooms in slowly.
func liveShot(offset float64) Shot {
	k := tripod{at: Vec{0.6, -10.2, 2.45}, height: 0.93, offset: offset, sway: rad(0.05)}
	k.zoom.base = 2020
	k.zoom.add(0.2, 2.0, 190)
	return Shot{ID: "live", Factor: 1, Cam: "platform", Graphics: []image.Rectangle{scoreBox}, tripod: k}
}

// replayShot is the low camera beside the piste: nearer, and from the right.
func replayShot(start float64, frames int) Shot {
	return Shot{
		ID: "replay", Factor: ReplayFactor, Start: seconds(start), Frames: frames, Cam: "side",
		Graphics: []image.Rectangle{replayTag}, tripod: sideTripod(start),
	}
}

// sideTripod is the camera beside the piste; it zooms in a little from start on.
func sideTripod(start float64) tripod {
	k := tripod{at: Vec{2.5, -6.9, 1.55}, height: 0.92, offset: -0.05, sway: rad(0.04)}
	k.zoom.base = 1480
	k.zoom.add(start, start+0.6, 40)
	return k
}

// cutTo makes the file of a live shot go on with the camera beside the piste.
func (s *Shot) cutTo() {
	at := s.At(mark.Frame(s.Frames))
	s.Next = &Shot{
		ID: s.ID + "-after", Factor: s.Factor, Start: at, Frames: cutFrames, Cam: "side",
		Graphics: s.Graphics, tripod: sideTripod(float64(at)),
	}
}
