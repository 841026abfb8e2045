// Package stave draws the phrase of one touch in time, as a score for two
// instruments: three lines for each fencer, actions as words on them, moments as
// uprights, and between the two staves the measure, to scale.
//
// Most callers need one call: Draw. Nothing is measured here: every instant and
// every gap is one of the reading, and where nothing was measured nothing is
// drawn that could be taken for it. A reading handed in is never changed; one
// that lacks parts is drawn as far as it goes.
package stave
