// Package picture draws the frames of the invented bout: a hall that is traced
// once for each place of the camera, and two figures that are cast anew into
// every frame, with shadows, motion blur, lamps and the noise of a sensor, people
// who pass, an exposure that never rests and the graphics of a broadcast.
//
// Most callers need two calls: NewStage for one place of the camera and
// Stage.Frame for a picture.
//
// Places are metres in the world frame, image coordinates pixels with the origin
// at the centre of the top-left pixel; light is linear until the last step.
// Equal inputs give equal bytes on one kind of machine. A Stage is not modified
// by Frame: frames may be drawn at the same time, each with its own Easel.
package picture

// Version names the way the pictures look. It changes whenever equal scenes
// would give other pictures, so that old videos are drawn afresh.
const Version = "4"
