package scene

import "mesure/quantity"

func seconds(t float64) quantity.Seconds { return quantity.Seconds(t) }

// ReplayFactor is how many seconds of the replay show one second of the bout.
const ReplayFactor = 4

// liveShot is the broadcast camera on its platform: it stands still over the
// middle of the piste, follows and zooms in slowly.
func liveShot(offset float64) Shot {
	k := tripod{at: Vec{0.6, -10.2, 2.45}, height: 0.93, offset: offset, sway: rad(0.05)}
	k.zoom.base = 2020
	k.zoom.add(0.2, 2.0, 190)
	return Shot{ID: "live", Factor: 1, Cam: "platform", tripod: k}
}

// replayShot is the low camera beside the piste: nearer, and from the right.
func replayShot(start float64, frames int) Shot {
	k := tripod{at: Vec{2.5, -6.9, 1.55}, height: 0.92, offset: -0.05, sway: rad(0.04)}
	k.zoom.base = 1480
	k.zoom.add(start, start+0.6, 40)
	return Shot{ID: "replay", Factor: ReplayFactor, Start: seconds(start), Frames: frames, Cam: "side", tripod: k}
}
