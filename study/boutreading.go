package study

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
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
}

// BoutAsk is a bout to be read without a video: names, weapon and format from Bout
// (its sheet is not looked at), and the lines.
type BoutAsk struct {
	Bout  bout.Bout
	Lines []BoutLine
	// Doubts are those found while the lines were taken, see SheetLines and
	// ReadScoreSheet; they are handed on.
	Doubts []Warning
}

// How a bout is drawn, and the longest that is read: a relay to 45 has some hundred
// lines.
const (
	boutDraws = 1000
	boutSeed  = 1
	boutLines = 500
)

// BoutReading is what a bout's sheet says, all seen from the left fencer. Derived,
// never edited.
type BoutReading struct {
	Left   string      `json:"left"`
	Right  string      `json:"right"`
	Event  string      `json:"event,omitempty"`
	Weapon bout.Weapon `json:"weapon"`
	To     int         `json:"to"`
	// LastDoubleCounts and Relay say how the bout was taken: see bout.Bout. A relay
	// is taken as one bout.
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
	Habits  []BoutHabit                  `json:"habits"`
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
// what hung on each, what a double was worth, and the habits where choices are
// written. Rates are those of the whole bout, looking back; each is drawn from the
// Dirichlet law of the counts with chain.PriorCount added, and every number is the
// mean, the standard deviation and the central 95 % over the same draws, as those of
// chain.Over. In foil and sabre there are no doubles and the law of two outcomes is
// used. The clock is not in it.
//
// It returns a *Refusal where there is no hit to read, where a fencer faces
// themselves, or where the format is none.
func BoutRead(a BoutAsk) (*BoutReading, error) {
	format := chain.Format{To: a.Bout.Touches, LastDoubleCounts: a.Bout.LastDoubleCounts}
	var bad *chain.BadInput
	if err := format.Check(); errors.As(err, &bad) {
		return nil, &Refusal{At: "/bout/touches", What: bad.Text, Mend: bad.Mend}
	}
	if l, r := a.Bout.Left.Name, a.Bout.Right.Name; l != "" && l == r {
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
		Habits: []BoutHabit{}, Touches: []BoutTouch{},
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
	if err := r.value(lines, format); err != nil {
		return nil, err
	}
	if err := r.habits(lines); err != nil {
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

// value draws the rates and values every score of the lines over the same draws.
func (r *BoutReading) value(lines []BoutLine, f chain.Format) error {
	c := chain.Counts{Me: float64(r.Rates.CountLeft), Opponent: float64(r.Rates.CountRight), Double: float64(r.Rates.CountDouble)}
	rates, err := c.Draws(boutDraws, rand.NewPCG(boutSeed, boutSeed))
	if err != nil {
		return &Refusal{At: "/bout/sheet", What: err.Error(), Because: err}
	}
	if r.Weapon != bout.Epee {
		// Given that there are no doubles, the other two of a Dirichlet law keep their
		// proportions, independent of the share that is left out.
		for i, x := range rates {
			rates[i] = chain.Rates{Me: x.Me / (x.Me + x.Opponent), Opponent: x.Opponent / (x.Me + x.Opponent)}
		}
	}
	n := len(lines)
	table := func() [][]quantity.Chance {
		t := make([][]quantity.Chance, n+1)
		for i := range t {
			t[i] = make([]quantity.Chance, len(rates))
		}
		return t
	}
	before, importance, double, after := table(), table(), table(), table()
	doubles := make([]quantity.Chance, len(rates))
	heaviest := make([]int, n)
	weighed := weighedLines(lines)
	for d, x := range rates {
		k, err := chain.New(f, x)
		if err != nil {
			return &Refusal{At: "/bout/sheet", What: err.Error(), Because: err}
		}
		for i := range n + 1 {
			s := scoreBefore(lines, i)
			v := valuesAt(k, f, s)
			before[i][d], importance[i][d], double[i][d] = v.Win, v.Importance, v.DoubleWorth
			if i == n {
				break
			}
			after[i][d] = valuesAt(k, f, lines[i].After).Win
			if lines[i].outcome() == "double" {
				doubles[d] += after[i][d] - before[i][d]
			}
		}
		most := weighed[0]
		for _, i := range weighed {
			if importance[i][d] > importance[most][d] {
				most = i
			}
		}
		heaviest[most]++
	}
	stand := func(i int) BoutStand {
		s := scoreBefore(lines, i)
		return BoutStand{Score: s, Win: quantity.FromDraws(before[i]), Importance: quantity.FromDraws(importance[i]), DoubleWorth: quantity.FromDraws(double[i]),
			Void: !f.LastDoubleCounts && r.Weapon == bout.Epee && s.Left == f.To-1 && s.Right == f.To-1}
	}
	for i, l := range lines {
		t := BoutTouch{Number: l.Number, Outcome: l.outcome(), Before: stand(i), Score: l.After, After: quantity.FromDraws(after[i]),
			Gap: i > 0 && l.Before != lines[i-1].After, ChoiceLeft: l.Choices[mark.Left], ChoiceRight: l.Choices[mark.Right]}
		change := make([]quantity.Chance, len(rates))
		for d := range rates {
			change[d] = after[i][d] - before[i][d]
		}
		t.Changed = quantity.FromDraws(change)
		r.Touches = append(r.Touches, t)
	}
	r.Heaviest = weighed[0]
	for _, i := range weighed {
		if r.Touches[i].Before.Importance.Mean > r.Touches[r.Heaviest].Before.Importance.Mean {
			r.Heaviest = i
		}
	}
	r.HeaviestSure = quantity.Chance(float64(heaviest[r.Heaviest]) / float64(len(rates)))
	r.Doubles = quantity.FromDraws(doubles)
	r.Start, r.Final = stand(0), scoreBefore(lines, n)
	if r.Over = max(r.Final.Left, r.Final.Right) >= f.To; !r.Over {
		now := stand(n)
		r.Now = &now
	}
	r.rates(rates)
	return nil
}

// weighedLines are those that changed the score, all of them where none did: what
// hung on a halt hangs on the next touch at the same score.
func weighedLines(lines []BoutLine) []int {
	var some, all []int
	for i, l := range lines {
		all = append(all, i)
		if l.Before != l.After {
			some = append(some, i)
		}
	}
	if len(some) == 0 {
		return all
	}
	return some
}

// scoreBefore is the score before line i, after the last one for i = len(lines).
func scoreBefore(lines []BoutLine, i int) bout.Score {
	if i == len(lines) {
		return lines[i-1].After
	}
	return lines[i].Before
}

// valuesAt values a score, also one at which the bout is over: level at the end, an
// even lot decides, as in chain.
func valuesAt(k *chain.Chain, f chain.Format, s bout.Score) chain.Values {
	switch left, right := s.Left >= f.To, s.Right >= f.To; {
	case left && right:
		return chain.Values{Win: 0.5}
	case left:
		return chain.Values{Win: 1}
	case right:
		return chain.Values{}
	}
	return k.At(chain.Score{Me: s.Left, Opponent: s.Right})
}

// rates keeps what the draws say of a phrase.
func (r *BoutReading) rates(all []chain.Rates) {
	var l, o, d []quantity.Chance
	better := 0.0
	for _, x := range all {
		l, o, d = append(l, x.Me), append(o, x.Opponent), append(d, x.Double)
		switch {
		case x.Me > x.Opponent:
			better++
		case x.Me == x.Opponent:
			better += 0.5
		}
	}
	r.Rates.Prior = chain.PriorCount
	r.Rates.Left, r.Rates.Right, r.Rates.Double = quantity.FromDraws(l), quantity.FromDraws(o), quantity.FromDraws(d)
	r.Rates.LeftBetter = quantity.Chance(better / float64(len(all)))
}

// SheetLines takes the lines of a bout's sheet: numbers, scores and hits as
// bout.Bout.Scored has them. Where the sheet writes another score than its lamps
// and cards make, that is a doubt, as everything is that bout.Bout.Doubts says.
func SheetLines(b bout.Bout) ([]BoutLine, []Warning) {
	var lines []BoutLine
	var doubts []Warning
	scored := b.Scored()
	for i, p := range scored.Sheet {
		l := BoutLine{Number: p.Number, Before: p.Before, After: p.After, Hit: hitsOf(b, p)}
		if p.Choices != nil {
			l.Choices = [2]string{p.Choices.Left, p.Choices.Right}
		}
		lines = append(lines, l)
		if written := b.Sheet[i].After; written != (bout.Score{}) && written != p.After {
			doubts = append(doubts, Warning{Code: "score-does-not-follow", About: fmt.Sprintf("touch %d", p.Number),
				Doubt: math.Max(math.Abs(float64(written.Left-p.After.Left)), math.Abs(float64(written.Right-p.After.Right))),
				Text:  fmt.Sprintf("the sheet writes %s, the touches make %s, which is read", scoreWords(written), scoreWords(p.After))})
		}
	}
	for _, d := range b.Doubts() {
		if d.Code == "after-the-end" { // BoutRead says it of all lines at once
			continue
		}
		doubts = append(doubts, Warning{Code: d.Code, Text: d.Text})
	}
	return lines, doubts
}

// hitsOf is who hit on a scored line, cards left out: the line is scored again
// alone, and a double also where it is void.
func hitsOf(b bout.Bout, p bout.Phrase) bout.Lamps {
	if both := (bout.Lamps{Left: true, Right: true}); p.Lamps == both && !p.Annulled && (b.Weapon == bout.Epee || b.Weapon == "") {
		return both
	}
	before := p.Before
	p.Cards = nil
	b.Start, b.Sheet = &before, []bout.Phrase{p}
	after := b.Scored().Sheet[0].After
	return bout.Lamps{Left: after.Left > before.Left, Right: after.Right > before.Right}
}

func scoreWords(s bout.Score) string { return fmt.Sprintf("%d–%d", s.Left, s.Right) }
