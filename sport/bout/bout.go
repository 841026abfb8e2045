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
	// Own are numbers in place of the defaults of reach and timing; nil where there
	// are none.
	Own []Own `json:"own,omitempty"`
}

// IsZero reports whether nothing is known of the fencer.
func (f Fencer) IsZero() bool {
	return len(f.Own) == 0 && f.Name+f.Club+string(f.Hand)+f.Sex+f.Level+f.Grip == "" && f.Stature == 0 && f.Reach == 0 && f.Lunge == 0
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
	if l.Left && l.Right && s.lastHit(touches) {
		return s
	}
	return s.counts(l)
}

// lastHit reports whether the next hit decides for whoever gets it.
func (s Score) lastHit(touches int) bool { return s.Left == touches-1 && s.Right == touches-1 }

// Phrase is one line of the score sheet: what the referee gave at one halt, and
// where the video shows it.
type Phrase struct {
	// ID names the line within its sheet, so that lines can be inserted and moved;
	// empty in sheets that were written without.
	ID string `json:"id,omitempty"`
	// Number counts the lines from 1, Before and After are the score around it.
	// All three follow from the lines above: see Scored.
	Number int   `json:"number"`
	Before Score `json:"before"`
	After  Score `json:"after"`
	// Lamps says who hit. At a halt without a hit both are out.
	Lamps Lamps `json:"lamps"`
	// Given is the referee's decision where the lamps do not make it: see Given.
	Given Given `json:"given,omitempty"`
	// Annulled is true where the referee annulled what the lamps showed.
	Annulled bool `json:"annulled,omitempty"`
	// Cards given at this halt, in the order in which they were shown.
	Cards []Card `json:"cards,omitempty"`
	// Choices are what each fencer chose; nil where nothing is written.
	Choices *Choices `json:"choices,omitempty"`
	// Measure is one of Measures, that at which the phrase began; empty where not noted.
	Measure string `json:"measure,omitempty"`
	// Period is 1, 2, 3, or the relay in a team match; zero where not noted.
	Period int `json:"period,omitempty"`
	// Clock is the time left as the apparatus shows it, such as "1:23".
	Clock string `json:"clock,omitempty"`
	// Video names the video of the bout that shows it; empty where none does.
	Video string `json:"video,omitempty"`
	// Halt is the instant of the file at which the line was recorded; From and To
	// are the stretch that shows the touch.
	Halt mark.FileTime `json:"halt_s,omitempty"`
	From mark.FileTime `json:"from_s,omitempty"`
	To   mark.FileTime `json:"to_s,omitempty"`
	Note string        `json:"note,omitempty"`
}

// Given says to whom the referee gave the hit. In épée the lamps say it and Given
// is not looked at. In foil and sabre one lamp gives the hit to its fencer where
// Given is empty; two lamps give it to nobody until Given says who had the
// priority.
type Given string

// The decisions of the referee.
const (
	GivenLeft   Given = "left"
	GivenRight  Given = "right"
	GivenNobody Given = "nobody"
)

// Card is one sanction of the referee.
type Card struct {
	To     mark.Side  `json:"to"`
	Colour CardColour `json:"colour"`
}

// CardColour is the colour of a card.
type CardColour string

// The cards: those for offences (t.163 and following) and, with a P, those for
// unwillingness to fight (t.124), which have a scale of their own.
const (
	Yellow  CardColour = "yellow"
	Red     CardColour = "red"
	Black   CardColour = "black"
	PYellow CardColour = "p-yellow"
	PRed    CardColour = "p-red"
	PBlack  CardColour = "p-black"
)

// Bout is what the score sheet says of the whole bout.
type Bout struct {
	Event   string `json:"event,omitempty"`
	Round   string `json:"round,omitempty"`
	Date    string `json:"date,omitempty"` // YYYY-MM-DD
	Weapon  Weapon `json:"weapon,omitempty"`
	Touches int    `json:"touches,omitempty"` // 5, 10, 15; 45 is a team relay
	// LastDoubleCounts turns off the practice that a double at one hit from the
	// end for both is void.
	LastDoubleCounts bool `json:"last_double_counts,omitempty"`
	// First is the number of the first line of the sheet, and Start the score
	// before it, for a sheet that begins in mid-bout: zero and nil mean line 1 at
	// nil all.
	First int    `json:"first,omitempty"`
	Start *Score `json:"start,omitempty"`
	// Team holds the order of the fencers of a relay, by side; nil for individuals.
	Team  *Team    `json:"team,omitempty"`
	Left  Fencer   `json:"left"`
	Right Fencer   `json:"right"`
	Sheet []Phrase `json:"sheet,omitempty"`
}

// Team is the order in which the fencers of a relay meet, one pair a relay.
type Team struct {
	Left  []string `json:"left"`
	Right []string `json:"right"`
}

// Fencer returns one of the two.
func (b Bout) Fencer(s mark.Side) Fencer {
	if s == mark.Left {
		return b.Left
	}
	return b.Right
}

// Action is one thing that a fencer did, written on a line of the stave.
type Action struct {
	ID  string    `json:"id"`
	Who mark.Side `json:"who"`
	// Line of the stave: "feet", "hand" or "blade".
	Line string `json:"line"`
	// Word is the trade's word for it, such as "riposte", or the coach's own.
	Word string `json:"word"`
	// Take, From and To are the frames over which it went on.
	Take string     `json:"take"`
	From mark.Frame `json:"from"`
	To   mark.Frame `json:"to"`
}

// StaveLines are the lines of one fencer on the stave, from the outside in.
var StaveLines = [3]string{"feet", "hand", "blade"}
