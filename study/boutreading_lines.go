package study

import (
	"fmt"
	"math"

	"mesure/sport/bout"
)

// SheetLines takes the lines of a bout's sheet: numbers, scores and hits as
// bout.Bout.Scored has them. Where the sheet writes another score than its lamps
// and cards make, that is a doubt, as everything is that bout.Bout.Doubts says.
func SheetLines(b bout.Bout) ([]BoutLine, []Warning) {
	var lines []BoutLine
	var doubts []Warning
	scored := b.Scored()
	for i, p := range scored.Sheet {
		l := BoutLine{Number: p.Number, Before: p.Before, After: p.After, Hit: hitsOf(b, p), Period: p.Period, Clock: p.Clock}
		for _, c := range p.Cards {
			l.Shown = max(l.Shown, pCards[c.Colour])
		}
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

// pCards are the cards for unwillingness in their order (t.124).
var pCards = map[bout.CardColour]int{bout.PYellow: 1, bout.PRed: 2, bout.PBlack: 3}

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
