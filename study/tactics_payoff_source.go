package study

import (
	"fmt"

	"mesure/sport/mark"
)

// payoffMethod is the section of doc/methods.md.
const payoffMethod = "What each choice brings"

// cellSource says where a cell of the table comes from.
func (p *payoffRun) cellSource(i, j int, c PayoffCell, m metPair) string {
	prior := ""
	if c.Sure > 0 {
		prior = fmt.Sprintf("Race and windows at %s, worth %.0f seen phrases at the most.", p.gap.said, c.Sure)
	}
	return p.source(Source{
		ID:      fmt.Sprintf("payoff/%d/%s/%s", p.tacticsRun.out.At, p.mine[i], p.theirs[j]),
		Title:   fmt.Sprintf("How %s against %s ends", kindNoun(p.mine[i]), kindNoun(p.theirs[j])),
		How:     "Race and windows at this measure and the phrases in which the two met, older ones weighing less; " + lower(c.How),
		Touches: m.touches, Bouts: m.bouts, Reading: p.gap.reading, Prior: prior, Method: payoffMethod,
	})
}

// valueSource says where the worth of a score comes from.
func (p *payoffRun) valueSource() string {
	var touches []int
	for _, l := range p.lines[:p.at] {
		touches = append(touches, l.Number)
	}
	how := "The bout as a chain of phrases with the rates of single hits and doubles of the touches before; what they leave open is drawn."
	if p.timed {
		how += " The time left is counted: nothing then helps who leads, or has the priority."
	}
	return p.source(Source{
		ID: fmt.Sprintf("payoff/%d/value", p.tacticsRun.out.At), Title: fmt.Sprintf("What the bout is worth to %s at this score", p.called(p.ask.For)),
		How: how, Touches: touches, Prior: "Each of the three ends of a phrase is credited with half a count.", Method: "What a score is worth",
	})
}

// tableSource says where the worth of a choice comes from: the table, the score and the
// habit.
func (p *payoffRun) tableSource(what, title string) string {
	var touches []int
	for _, l := range p.lines[:p.at] {
		if l.Kinds[mark.Left] != "" || l.Kinds[mark.Right] != "" {
			touches = append(touches, l.Number)
		}
	}
	return p.source(Source{
		ID: fmt.Sprintf("payoff/%d/%s", p.tacticsRun.out.At, what), Title: title,
		How:     "How each pair of choices ends, times what the bout is worth after that, over draws of everything that is not known.",
		Touches: touches, Reading: p.gap.reading, Method: payoffMethod,
	})
}
