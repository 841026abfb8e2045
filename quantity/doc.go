// Package quantity holds a value together with its uncertainty: one number (Of),
// several numbers that vary together (Joint), the propagation of both through a
// formula, draws from both, and the least-squares fit that yields them.
//
// Most callers need three calls: Normal to state a number with its standard
// deviation, Joint.Through to carry correlated numbers through a formula, and
// FromDraws to summarise simulated values.
//
// Units are types (Metres, Seconds, Pixels …); a value of one cannot be handed
// where another is meant. Angles are radians. Chance is handed in as a
// rand.Source, so equal seeds give equal results on every machine. No function
// here modifies its arguments.
//
// Terms follow the Guide to the Expression of Uncertainty in Measurement
// (JCGM 100:2008) and its supplements on Monte Carlo (JCGM 101:2008) and on
// several outputs (JCGM 102:2011): "standard deviation" is the standard
// uncertainty u, and intervals cover 95 % unless a function says otherwise.
package quantity
