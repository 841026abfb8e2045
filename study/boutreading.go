package study

import (
	"errors"
	"fmt"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/chain"
)

// BoutLine is one line of a bout's sheet as BoutRead takes it.
type BoutLine struct {
	Number int
	// Before and After are the score around it, cards included.
	Before, After bout.Score
	// Hit is who hit, before any card. A void double has both, as any double.
	Hit bout.Lamps
	// Choices are what each fencer chose, by side, in the coach's words; empty where
	// nothing was written.
	Choices [2]string
	// Period and Clock are those of bout.Phrase: the time left at the halt.
	Period int
	Clock  string
	// Shown is the highest P-card given at this halt: 1 yellow, 2 red, 3 black; 0 none.
	Shown int
}

// BoutAsk is a bout to be read without a video: names, weapon and format from Bout
// (its sheet is not looked at), and the lines.
type BoutAsk struct {
	Bout  bout.Bout
	Lines []BoutLine
	// Doubts are those found while the lines were taken, see SheetLines and
	// ReadScoreSheet; they are handed on.
	Doubts []Warning
	// Clock is what is known of the time beyond the sheet, at one score: that before the
	// line ClockAt, counted from 1; zero is the score after the last line.
	Clock   *ClockAsk
	ClockAt int
}

// How a bout is drawn, and the longest that is read: a relay to 45 has some hundred
// lines.
const (
	boutDraws = 1000
	boutSeed  = 1
	boutLines = 500
	// boutCardDraws are fewer: with cards for unwillingness each draw takes a grid of
	// time.
	boutCardDraws = 200
)

// BoutReading is what a bout's sheet says, all seen from the left fencer. Derived,
// never edited.
type BoutReading struct {
	Left   string      `json:"left"`
	Right  string      `json:"right"`
	Event  string      `json:"event,omitempty"`
	Weapon bout.Weapon `json:"weapon"`
	To     int         `json:"to"`
	// LastDoubleCounts and Relay say how the bout was taken: see bout.Bout. A relay is
	// valued by its Stages where the order of its fencers is noted, else as one bout.
	LastDoubleCounts bool        `json:"last_double_counts,omitempty"`
	Relay            bool        `json:"relay,omitempty"`
	Final            bout.Score  `json:"final"`
	Over             bool        `json:"over"`
	Rates            BoutRates   `json:"rates"`
	Start            BoutStand   `json:"start"`
	Touches          []BoutTouch `json:"touches"`
	// Now is the score after the last line; nil where the bout is over.
	Now *BoutStand `json:"now,omitempty"`
	// Heaviest is the index in Touches of the touch on which most hung, among those
	// that changed the score, and HeaviestSure the share of the draws in which it is
	// that one.
	Heaviest     int             `json:"heaviest"`
	HeaviestSure quantity.Chance `json:"heaviest_sure"`
	// Doubles is what all doubles of the bout together changed in the left fencer's
	// chance to win.
	Doubles quantity.Of[quantity.Chance] `json:"doubles_changed"`
	// Clock is nil where the time is not in the values. Stages are those of a relay.
	Clock  *BoutClock  `json:"clock,omitempty"`
	Stages []BoutStage `json:"stages,omitempty"`
	// Said is the reading in plain sentences, the weightiest first.
	Said   []string  `json:"said"`
	Doubts []Warning `json:"doubts"`
	Draws  int       `json:"draws"`
	Seed   uint64    `json:"seed"`
}

// BoutRates are what a phrase that ends in a hit brings, from the counts of this
// bout with chain.PriorCount added to each.
type BoutRates struct {
	// Counts of single hits and doubles, void ones among them.
	CountLeft   int `json:"count_left"`
	CountRight  int `json:"count_right"`
	CountDouble int `json:"count_double"`
	// Prior is what each outcome is credited with before anything was seen.
	Prior  float64                      `json:"prior"`
	Left   quantity.Of[quantity.Chance] `json:"rate_left"`
	Right  quantity.Of[quantity.Chance] `json:"rate_right"`
	Double quantity.Of[quantity.Chance] `json:"rate_double"`
	// LeftBetter is how likely the left fencer hits alone more often than the right.
	LeftBetter quantity.Chance `json:"left_better"`
}

// BoutStand is what one score was worth to the left fencer, with the touch that
// came next.
type BoutStand struct {
	Score bout.Score `json:"score"`
	// Win is the chance to win from here, Importance what hangs on the next single
	// hit, DoubleWorth what a double changes: see chain.Chain.
	Win         quantity.Of[quantity.Chance] `json:"win"`
	Importance  quantity.Of[quantity.Chance] `json:"importance"`
	DoubleWorth quantity.Of[quantity.Chance] `json:"double_worth"`
	// Void is true where a double counts for nobody.
	Void bool `json:"double_void,omitempty"`
	// Left is the time left with which the score is valued; nil without a clock. Extra
	// says that it is that of the extra minute.
	Left  *quantity.Seconds `json:"left_s,omitempty"`
	Extra bool              `json:"extra_minute,omitempty"`
}

// BoutTouch is one line of the sheet in the bout.
type BoutTouch struct {
	Number int `json:"number"`
	// Outcome is "left", "right", "double" or "none".
	Outcome string `json:"outcome"`
	// Before is what stood at stake, After the chance to win afterwards, Changed the
	// difference.
	Before  BoutStand                    `json:"before"`
	Score   bout.Score                   `json:"score"`
	After   quantity.Of[quantity.Chance] `json:"win"`
	Changed quantity.Of[quantity.Chance] `json:"changed"`
	// Gap is true where the score before is not the one after the line above: what
	// happened between is not written.
	Gap bool `json:"gap,omitempty"`
	// ChoiceLeft and ChoiceRight are what was written of the choices.
	ChoiceLeft  string `json:"choice_left,omitempty"`
	ChoiceRight string `json:"choice_right,omitempty"`
}

// BoutRead reads a whole bout from its sheet: the chance to win after every touch,
// what hung on each and what a double was worth. Rates are those of the whole bout, looking back; each is drawn from the
// Dirichlet law of the counts with chain.PriorCount added, and every number is the
// mean, the standard deviation and the central 95 % over the same draws, as those of
// chain.Over. In foil and sabre there are no doubles and the law of two outcomes is
// used. Where every line notes the time left, or the ask says it of one score, the
// scores are valued with the clock (see chain.Timed and BoutClock); the stages of a
// relay have rates of their own (see BoutStage).
//
// It returns a *Refusal where there is no hit to read, where a fencer faces
// themselves, where the format is none, or where the ask of the clock cannot be. Times
// of the sheet that cannot be are doubts.
func BoutRead(a BoutAsk) (*BoutReading, error) {
	format := chain.Format{To: a.Bout.Touches, LastDoubleCounts: a.Bout.LastDoubleCounts}
	var bad *chain.BadInput
	if err := format.Check(); errors.As(err, &bad) {
		return nil, &Refusal{At: "/bout/touches", What: bad.Text, Mend: bad.Mend}
	}
	if l, r := a.Bout.Left.Name, a.Bout.Right.Name; l != "" && bout.SameName(l, r) {
		return nil, &Refusal{At: "/bout", What: fmt.Sprintf("%s stands on both sides: nobody fences themselves", l), Mend: "Give the two fencers different names."}
	}
	if len(a.Lines) > boutLines {
		return nil, &Refusal{At: "/bout/sheet", What: fmt.Sprintf("%d lines are more than the %d of a bout", len(a.Lines), boutLines), Mend: "Write one bout in one sheet."}
	}
	lines, doubts := untilTheEnd(a, format)
	r := &BoutReading{
		Left: a.Bout.Left.Name, Right: a.Bout.Right.Name, Event: a.Bout.Event, Weapon: a.Bout.Weapon,
		To: format.To, LastDoubleCounts: format.LastDoubleCounts, Relay: a.Bout.IsRelay(),
		Doubts: append(append([]Warning{}, a.Doubts...), doubts...), Draws: boutDraws, Seed: boutSeed,
		Touches: []BoutTouch{},
	}
	if r.Weapon == "" {
		r.Weapon = bout.Epee
	}
	for _, l := range lines {
		switch l.outcome() {
		case "left":
			r.Rates.CountLeft++
		case "right":
			r.Rates.CountRight++
		case "double":
			r.Rates.CountDouble++
		}
	}
	if r.Rates.CountLeft+r.Rates.CountRight+r.Rates.CountDouble == 0 {
		return nil, &Refusal{At: "/bout/sheet", What: "the sheet has no touch that ended in a hit", Mend: "Write at least one touch: who hit, or the score after it."}
	}
	times, more, err := timesOf(a, lines, format)
	if err != nil {
		return nil, err
	}
	r.Doubts = append(r.Doubts, more...)
	if times != nil && times.rule != nil {
		r.Draws = boutCardDraws
	}
	if err := r.value(lines, format, times, stagesOf(a.Bout, lines)); err != nil {
		return nil, err
	}
	r.say()
	return r, nil
}

// outcome names who hit.
func (l BoutLine) outcome() string {
	switch l.Hit {
	case bout.Lamps{Left: true, Right: true}:
		return "double"
	case bout.Lamps{Left: true}:
		return "left"
	case bout.Lamps{Right: true}:
		return "right"
	}
	return "none"
}

// untilTheEnd keeps the lines up to the one that decides the bout and says which
// come after it.
func untilTheEnd(a BoutAsk, f chain.Format) ([]BoutLine, []Warning) {
	for i, l := range a.Lines {
		if max(l.After.Left, l.After.Right) < f.To {
			continue
		}
		late := len(a.Lines) - i - 1
		if max(l.Before.Left, l.Before.Right) >= f.To { // the sheet begins after the end
			i, late = i-1, late+1
		}
		if late == 0 {
			return a.Lines, nil
		}
		return a.Lines[:i+1], []Warning{{Code: "after-the-end", About: fmt.Sprintf("touch %d", a.Lines[i+1].Number), Doubt: float64(late),
			Text: fmt.Sprintf("%s after the bout to %d was decided; not read. If it went on, say to how many hits", countOf(late, "line stands", "lines stand"), f.To)}}
	}
	return a.Lines, nil
}

// counted is a number with its noun.
func countOf(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
