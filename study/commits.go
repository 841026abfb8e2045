package study

import "mesure/sport/mark"

// readCommit reads what one fencer's body is able to do at an instant.
func readCommit(t *Touch, r *Reading, at At, s mark.Side) (*Commit, *Lack) {
	return nil, &Lack{Part: PartCommit, Side: s, Why: "the feet are not read yet"}
}
