package bout

import "mesure/sport/mark"

// Doubt is a line of the sheet that does not fit the rules, or not the lines
// above it. The sheet stands as it is: a referee may have decided otherwise, and
// so may a coach who only wants to keep the video in order.
type Doubt struct {
	// Line is the index of the line in the sheet.
	Line int
	// Code is stable and in lower case, such as "after-the-end".
	Code string
	// Text is one sentence.
	Text string
}

// Scored returns the bout with number and score of every line filled in from the
// lines above it, by the rules of weapon and format. The bout handed in is not
// changed.
//
// At each halt the hits come first: in épée the lamps give them (a double counts
// for both, t.92), in foil and sabre the referee does, see Given. An annulled
// line gives none. A double in épée at one hit from the end for both is void
// (t.38.1b for pools; at 14–14 and 44–44 universal practice, which the articles do
// not state), unless LastDoubleCounts. Then the cards: a red card, a second yellow
// card of the same fencer, a yellow card after a red one and a red P-card are each
// a hit for the opponent, also when it decides the bout. Nothing is cut off at the
// end of a relay or of the bout: see Doubts.
func (b Bout) Scored() Bout {
	lines := make([]Phrase, len(b.Sheet))
	r := newReferee(b)
	for i, p := range b.Sheet {
		lines[i] = r.halt(i, p)
	}
	b.Sheet = lines
	return b
}

// Doubts returns what does not fit: a hit after the bout or the relay was won, a
// card out of its order, two lamps in foil or sabre without the referee's
// decision, a period, clock or video that runs backwards. It is nil for a sheet
// without doubts.
func (b Bout) Doubts() []Doubt {
	r := newReferee(b)
	for i, p := range b.Sheet {
		r.halt(i, p)
	}
	return r.doubts
}

// IsRelay reports whether the bout is a team relay: nine relays to 5, 10, … 45
// (t.41), or one whose order of fencers is noted.
func (b Bout) IsRelay() bool { return b.Team != nil || b.Touches == relayTouches }

// The team relay (t.41, o.99): nine relays, each to five hits more than the one
// before; what a relay leaves unfinished the next one carries on.
const (
	relays       = 9
	relayStep    = 5
	relayTouches = relays * relayStep
)

// hits returns who gets a hit at a halt by lamps and referee, before any card.
func (b Bout) hits(p Phrase, before Score) Lamps {
	if p.Annulled {
		return Lamps{}
	}
	switch b.Weapon {
	case Foil, Sabre:
		switch p.Given {
		case GivenLeft:
			return Lamps{Left: true}
		case GivenRight:
			return Lamps{Right: true}
		case GivenNobody:
			return Lamps{}
		}
		if p.Lamps.Left && p.Lamps.Right { // whose it is, the lamps do not say
			return Lamps{}
		}
		return p.Lamps
	}
	if p.Lamps.Left && p.Lamps.Right && before.lastHit(b.Touches) && !b.LastDoubleCounts {
		return Lamps{}
	}
	return p.Lamps
}

// counts adds a hit for each side that has one.
func (s Score) counts(l Lamps) Score {
	if l.Left {
		s.Left++
	}
	if l.Right {
		s.Right++
	}
	return s
}

// lead is the greater of the two.
func (s Score) lead() int { return max(s.Left, s.Right) }

// hit adds one hit for a side.
func (s Score) hit(by mark.Side) Score {
	return s.counts(Lamps{Left: by == mark.Left, Right: by == mark.Right})
}
