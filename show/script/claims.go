package script

import "mesure/quantity"

// The rules of what may be claimed. A chance counts with the end of its interval that
// speaks against the claim.
const (
	// Clear is the chance from which something is said without "likely"; the 95 % of the
	// house's intervals.
	Clear = quantity.Chance(0.95)
	// Likely is the chance from which "most likely" is said, and an answer called open;
	// below 1 − Likely it is called shut (the limit from which a reading names who
	// arrives first).
	Likely = quantity.Chance(0.75)
	// Rather is the chance from which the likelier of several is named, with its chance
	// beside it.
	Rather = quantity.Chance(0.5)
)

// How strong a claim is.
const (
	claimClear  = "clear"
	claimLikely = "likely"
	claimOpen   = "open" // cannot be told: said so
)

// hedged ends a claim that is likely and not clear, where the words are else the same.
const hedged = ", likely"

// sure is a claim with this chance of it, hedged unless it is clear.
func sure(claim string, chance quantity.Chance) string {
	if chance >= Clear {
		return claim
	}
	return claim + hedged
}

// strength is what may be said of something with this chance.
func strength(q quantity.Of[quantity.Chance]) string {
	switch {
	case !q.IsValid():
		return claimOpen
	case q.Lo >= Clear:
		return claimClear
	case q.Lo >= Likely:
		return claimLikely
	}
	return claimOpen
}

// isOpen and isShut say whether an answer with this chance to be in time is called so.
func isOpen(q quantity.Of[quantity.Chance]) bool { return q.IsValid() && q.Lo >= Likely }
func isShut(q quantity.Of[quantity.Chance]) bool { return q.IsValid() && q.Hi <= 1-Likely }

// deep is how many things of one kind are told, by level: a beginner hears the first, a
// competitor all that bear on the touch.
type deep [len(levels)]int

var (
	deepAnswers = deep{1, 3, 5}
	deepStory   = deep{1, 3, 8}
	deepNext    = deep{1, 2, 3}
	deepNotes   = deep{1, 2, 4}
)

// longest is how many words a sentence of the study may have to be said, by level: a
// longer one is for the page and not for a voice (assumed).
var longest = deep{30, 45, 60}

func (d deep) at(l Level) int {
	for i, x := range levels {
		if x == l {
			return d[i]
		}
	}
	return 0
}

func negated[U quantity.Unit](q quantity.Of[U]) quantity.Of[U] {
	return quantity.Of[U]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}
