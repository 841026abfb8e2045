// Package bout holds the fencers, the bout, its touches and the rules of weapon
// and format. It holds no numerics; the numbers of the rules stand here with
// their article and their tolerance.
package bout

import "mesure/sport/mark"

// Weapon is one of the three weapons.
type Weapon string

// The three weapons, as files write them.
const (
	Epee  Weapon = "epee"
	Foil  Weapon = "foil"
	Sabre Weapon = "sabre"
)

// Hand is the weapon hand.
type Hand string

// The two hands.
const (
	RightHand Hand = "right"
	LeftHand  Hand = "left"
)

// Fencer is one fencer as far as the measurements need them. Zero means "not
// known" for every number.
type Fencer struct {
	Name    string  `json:"name,omitempty"`
	Club    string  `json:"club,omitempty"`
	Hand    Hand    `json:"hand,omitempty"`
	Sex     string  `json:"sex,omitempty"`   // "f" or "m": only to choose default movement times
	Level   string  `json:"level,omitempty"` // "club" or "elite": as above
	Grip    string  `json:"grip,omitempty"`  // "orthopaedic" or "french"
	Stature float64 `json:"stature_m,omitempty"`
	Reach   float64 `json:"reach_m,omitempty"` // shoulder to point, arm straight
	Lunge   float64 `json:"lunge_m,omitempty"` // travel of the front foot
}

// Score is the number of hits of each fencer.
type Score struct {
	Left  int `json:"left"`
	Right int `json:"right"`
}

// Of returns the hits of one side.
func (s Score) Of(side mark.Side) int {
	if side == mark.Left {
		return s.Left
	}
	return s.Right
}

// Lamps says who was signalled as hit at the end of a touch: a lamp belongs to
// the fencer who scored.
type Lamps struct {
	Left  bool `json:"left"`
	Right bool `json:"right"`
}

// Apply returns the score after the lamps, as the rules of épée count them: a
// double is a hit against each (t.92), except at one hit from the end for both,
// where it is void (t.38.1b for pools; universal practice in direct
// elimination, where the article does not say so).
func (s Score) Apply(l Lamps, touches int) Score {
	if l.Left && l.Right && s.Left == touches-1 && s.Right == touches-1 {
		return s
	}
	if l.Left {
		s.Left++
	}
	if l.Right {
		s.Right++
	}
	return s
}

// Phrase is one line of the score sheet.
type Phrase struct {
	Number int    `json:"number"`
	Before Score  `json:"before"`
	Lamps  Lamps  `json:"lamps"`
	Note   string `json:"note,omitempty"`
}

// Bout is what the score sheet says of the whole bout.
type Bout struct {
	Event   string   `json:"event,omitempty"`
	Round   string   `json:"round,omitempty"`
	Date    string   `json:"date,omitempty"` // YYYY-MM-DD
	Weapon  Weapon   `json:"weapon,omitempty"`
	Touches int      `json:"touches,omitempty"` // 5, 10, 15 or 45
	Left    Fencer   `json:"left"`
	Right   Fencer   `json:"right"`
	Sheet   []Phrase `json:"sheet,omitempty"`
}

// Fencer returns one of the two.
func (b Bout) Fencer(s mark.Side) Fencer {
	if s == mark.Left {
		return b.Left
	}
	return b.Right
}
