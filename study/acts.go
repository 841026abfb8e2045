package study

import (
	"bytes"
	"time"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// ActsVersion counts how ActsOf has changed: a library whose index was made by another
// one is indexed anew when it is opened.
const ActsVersion = 1

// Indexer finds the acts of a bout's document; none in one that has none or that it
// cannot read. It must not fail: what cannot be read is told where it is opened.
// It is asked of bouts alone.
type Indexer func(Document) []Act

// IndexerOf reads bouts as these papers have them.
func IndexerOf(p Papers) Indexer {
	return func(d Document) []Act {
		if d.Kind != KindBout {
			return nil
		}
		b, err := p.ReadBout(bytes.NewReader(d.Body), string(d.ID))
		if err != nil {
			return nil
		}
		return ActsOf(d.ID, b)
	}
}

// ActsOf returns the choices of a bout: one act for each side of each line on which
// its choice is written, line by line, left before right. Words stay as they are on the
// sheet; who counts them decides what they stand for. In a relay whose order is noted
// the fencer is the one who stood on the piste in that period.
//
// A fencer without a name gives no acts, since nobody could ask for them, and neither
// does a line on which both sides have one name.
func ActsOf(id ID, b *BoutSheet) []Act {
	scored := b.Bout.Scored()
	if scored.Weapon == "" {
		scored.Weapon = bout.Epee
	}
	day := scored.Date
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		day = ""
	}
	var all []Act
	for _, p := range scored.Sheet {
		if p.Choices == nil {
			continue
		}
		names := [2]string{fencingAt(scored, p, mark.Left), fencingAt(scored, p, mark.Right)}
		if bout.SameName(names[0], names[1]) {
			continue
		}
		outcome := BoutLine{Hit: hitsOf(scored, p)}.outcome()
		for _, s := range mark.Sides {
			if p.Choices.Of(s) == "" || bout.NameKey(names[s]) == "" {
				continue
			}
			all = append(all, Act{Bout: id, Day: day, Line: p.ID, Number: p.Number, Fencer: names[s], Opponent: names[s.Other()],
				Weapon: scored.Weapon, Choice: p.Choices.Of(s), Answer: p.Choices.Of(s.Other()),
				Mine: p.Before.Of(s), Theirs: p.Before.Of(s.Other()), To: scored.Touches,
				Measure: p.Measure, Outcome: outcomeFor(outcome, s)})
		}
	}
	return all
}

// fencingAt is the name of who stood on the piste on a line: in a relay whose order is
// noted, and on a line whose period is, the fencer of that period.
func fencingAt(b bout.Bout, p bout.Phrase, s mark.Side) string {
	if b.Team != nil {
		order := b.Team.Left
		if s == mark.Right {
			order = b.Team.Right
		}
		if p.Period >= 1 && p.Period <= len(order) {
			return order[p.Period-1]
		}
	}
	return b.Fencer(s).Name
}

// Keeps reports whether a query wants an act. made says in which order the bouts came
// into a library: it is negative where the first was made before the second, and only
// asked of two bouts of one day. Newest is not looked at.
func (q ActQuery) Keeps(a Act, made func(a, b ID) int) bool {
	switch {
	case bout.NameKey(q.Fencer) == "" || !bout.SameName(a.Fencer, q.Fencer),
		q.Opponent != "" && !bout.SameName(a.Opponent, q.Opponent),
		q.Weapon != "" && a.Weapon != q.Weapon,
		q.Without != "" && a.Bout == q.Without:
		return false
	case q.Before == "" || a.Day < q.Before:
		return true
	}
	return q.SameDay && a.Day == q.Before && q.Without != "" && made(a.Bout, q.Without) < 0
}
