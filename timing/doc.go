// Package timing answers how far a fencer reaches, when a point arrives, who wins
// the race of two points, which answers to an attack are still open and until when,
// how large a parry must be, and what a fencer's feet still allow.
//
// Most callers need Default for a movement with its usual times, Reach.Band for
// the measure of a gap, and Race.Run for the race, which draws over everything
// that is uncertain; Exchange.Windows and Exchange.Map for answers to an attack;
// Parry.Ask for the size of a parry; Commit for what can still be done.
// GaussianRace is the closed form for arrivals that are normal.
//
// Lengths are metres along the line from a fencer's own point to the target,
// counted towards the opponent; times are seconds from the start of the race,
// the instant at which the gaps were measured. Index 0 is the left fencer and 1
// the right one. Nothing handed in is modified. Chance is handed in as a
// rand.Source: equal seeds give equal results.
//
// The model of a movement is the minimum-jerk curve (Flash and Hogan, J.
// Neurosci. 5:1688, 1985), one for the arm and one for the body. All default
// times and lengths are named constants with their source; where it says
// "common practice, no source", nobody was found who measured it.
package timing
