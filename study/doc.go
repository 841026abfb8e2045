// Package study holds the use cases of Mesure: it is the only room where
// measuring, timing and tactics meet. It takes a Touch (everything a coach set
// by hand) and returns a Reading (everything computed from it), and it declares
// the ports that video, store and export files fulfil.
//
// Most callers need one call: Read.
//
// A Touch is an input and is kept; a Reading is derived, is never edited and may
// be thrown away at any time: it follows from the touch, the seed and Version
// alone. Units and frames are those of quantity, sport/piste and sport/mark.
package study

// Version names the rules by which readings are computed. It changes whenever
// equal inputs would give another reading, so that stored readings can be told
// from fresh ones.
const Version = "1"
