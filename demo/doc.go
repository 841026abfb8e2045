// Package demo is the invented bout: four touches of two invented fencers,
// filmed in an invented hall, with the truth of every frame, the marks that a
// coach might set on it, and the comparison of readings with the truth.
//
// Most callers need three calls: Render writes the videos and the truth to a
// folder (or finds them there), Marked returns a touch with human-like marks (and
// Handful one with few of them, to be followed), and Accuracy compares readings of
// such touches with the truth.
//
// Places are metres in the world frame, instants seconds on the true clock of a
// touch, image points pixels. Touches are counted from 0 to Count − 1. The marks
// always carry noise: a reading never sees the truth. No function modifies its
// arguments, except Manifest.Sign, which says so.
package demo
