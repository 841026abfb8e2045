// Package track follows points from one picture to the next, in pixels only: it
// knows nothing of metres, fencers or cameras.
//
// Most callers need three calls: NewPyramid for each picture, Corners for points
// that can be followed, and Follow.
//
// The frame is that of the image: the centre of the top-left pixel is the origin,
// u to the right, v down. Pictures are brightness as float32, 0 to 255. Nothing
// handed in is changed; a Pyramid may be read by many goroutines at once. What
// cannot be followed is lost and says so: no place is ever guessed.
package track
