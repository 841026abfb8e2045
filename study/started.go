package study

import "mesure/sport/mark"

// readStarted reads who started what in the phrase that leads to an instant.
func readStarted(t *Touch, r *Reading, at At, attacker mark.Side) (*Started, *Lack) {
	return nil, &Lack{Part: PartStarted, Both: true, Why: "the starts are not read yet"}
}
