// Package tell holds what a coach sets by hand about how one touch is told: the script,
// the storyboard and how fencers are called (Telling), its file format, and the parts of
// a breakdown that follow from it.
//
// Most callers need Draft for a new telling, Bind for one that was kept, Shelf for where it
// is kept, and Read and Write for its file. Nothing is measured here, and nothing handed in is changed.
package tell
