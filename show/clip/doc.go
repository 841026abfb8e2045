// Package clip tells one touch as a film: a storyboard of shots, each with its part of
// the script, and the pictures that the shots are made of.
//
// Most callers need three calls: Draft for the storyboard of a script, Make, which binds
// a storyboard to its reading, and Film.Render, which writes the pieces of the clip.
//
// A storyboard (Board) is what the coach may edit; everything else follows from it and
// from the reading. Times of the clip are seconds from its start, frames of the clip
// are counted from 0 at the steady rate of the form. Frames of a take are those of
// package mark. Nothing is measured here, and nothing handed in is changed.
//
// The package decodes and encodes nothing: pictures of the takes come through Footage and
// finished ones go into a Sink, both in planes of YUV 4:2:0, BT.709, limited range,
// carried by image.YCbCr (which by itself would mean another range).
package clip
