package bundle

import (
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

func tacticsOf(x *study.Tactics) *tacticsFile {
	if x == nil {
		return nil
	}
	return &tacticsFile{
		At: x.At, Score: scoreRead(x.Score), For: x.For.String(), Fenced: x.Fenced,
		Bout: boutReadOf(x.Bout), Thread: each(x.Thread, threadOf),
		Left: habitReadOf(x.Habits[mark.Left]), Right: habitReadOf(x.Habits[mark.Right]), Payoff: payoffReadOf(x.Payoff),
		Story: each(x.Story, sentenceOf), Next: each(x.Next, sentenceOf), Source: each(x.Sources, sourceOf),
		Doubts: warningsOf(x.Doubts), Lacks: each(x.Lacks, lackOf), Draws: x.Draws, Seed: x.Seed,
	}
}

// each is a list with every item put into another form; never nil.
func each[A, B any](all []A, form func(A) B) []B {
	out := make([]B, 0, len(all))
	for _, a := range all {
		out = append(out, form(a))
	}
	return out
}

func sentenceOf(s study.Sentence) sentenceRead {
	return sentenceRead{s.String(), each(s, func(p study.Piece) pieceRead { return pieceRead(p) })}
}

func sourceOf(s study.Source) sourceRead {
	return sourceRead{
		ID: s.ID, Title: s.Title, How: s.How, Touches: each(s.Touches, same), Reading: string(s.Reading), Prior: s.Prior, Method: s.Method,
		Bouts: each(s.Bouts, func(b study.SourceBout) sourceBoutRead { return sourceBoutRead{string(b.ID), b.Day, b.With, b.Count} }),
	}
}

func same(n int) int { return n }

func lackOf(l study.Lack) lackFile {
	who := l.Side.String()
	if l.Both {
		who = "both"
	}
	return lackFile{l.Part, who, l.Why, l.Mend}
}

// likelyAt is likely for a quantity that may not be there.
func likelyAt[U quantity.Unit](q *quantity.Of[U]) *spreadFile {
	if q == nil {
		return nil
	}
	return likely(*q)
}

// likelyOr is likely for a quantity whose zero value says that there is none.
func likelyOr[U quantity.Unit](q quantity.Of[U]) *spreadFile {
	if q == (quantity.Of[U]{}) {
		return nil
	}
	return likely(q)
}

// secondsOf rounds a time as the apparatus shows it.
func secondsOf(s *quantity.Seconds) *float64 {
	if s == nil {
		return nil
	}
	v := round(float64(*s), 2)
	return &v
}

func boutReadOf(r *study.BoutReading) *boutRead {
	if r == nil {
		return nil
	}
	f := &boutRead{
		Weapon: string(r.Weapon), To: r.To, LastDbl: r.LastDoubleCounts, Relay: r.Relay, Final: scoreRead(r.Final), Over: r.Over,
		Left: likely(r.Rates.Left), Right: likely(r.Rates.Right), Double: likely(r.Rates.Double),
		Touches: each(r.Touches, boutTouchOf), Heaviest: r.Heaviest, Stages: each(r.Stages, stageOf),
		Said: append([]string{}, r.Said...), Doubts: warningsOf(r.Doubts),
	}
	if f.Weapon == "" {
		f.Weapon = string(bout.Epee)
	}
	if r.Now != nil {
		now := standOf(*r.Now)
		f.Now = &now
	}
	if k := r.Clock; k != nil {
		f.Clock = &boutClockRead{round(float64(k.Total), 2), secondsOf(k.Left), spread(k.Pace, 1), k.Whole, k.Priority, k.Unwillingness}
	}
	return f
}

func standOf(s study.BoutStand) standRead {
	return standRead{scoreRead(s.Score), likely(s.Win), likely(s.Importance), likely(s.DoubleWorth), s.Void, secondsOf(s.Left), s.Extra}
}

func boutTouchOf(t study.BoutTouch) boutTouchRead {
	return boutTouchRead{t.Number, t.Outcome, standOf(t.Before), scoreRead(t.Score), likely(t.After), likely(t.Changed), t.Gap}
}

func stageOf(s study.BoutStage) stageRead {
	f := stageRead{Number: s.Number, Left: s.Left, Right: s.Right, Fenced: s.Fenced, RateL: likely(s.RateLeft), RateR: likely(s.RateRight), RateD: likely(s.RateDouble)}
	if s.Fenced {
		f.Changed, f.Swing = likely(s.Changed), likely(s.Swing)
	}
	return f
}

func threadOf(t study.ThreadTouch) threadRead {
	chosen := func(s mark.Side) chosenRead {
		return chosenRead{t.Choices[s], t.Kinds[s], t.ChoiceFrom[s], t.Changed[s], knewOf(t.Knew[s])}
	}
	return threadRead{
		Number: t.Number, Line: t.Line, Score: scoreRead(t.Score), Outcome: t.Outcome, Left: chosen(mark.Left), Right: chosen(mark.Right),
		Measure: t.Measure, Note: t.Note, Touch: string(t.Touch), Phrase: t.Sentence, Said: sentenceOf(t.Said),
		Bears: each(t.Bears, func(b study.Bearing) bearingRead { return bearingRead{b.Why, b.Who.String(), b.Text} }),
	}
}

func knewOf(k *study.Knew) *knewRead {
	if k == nil {
		return nil
	}
	return &knewRead{k.Likely, likely(k.Share), k.Seen, k.TooLittle, k.Came, likelyOr(k.ShareOfCame), k.Source}
}

func habitReadOf(h *study.Habit) *habitRead {
	if h == nil {
		return nil
	}
	s, o := h.Situation, h.Order
	f := &habitRead{
		Score: s.Score, Measure: s.Measure, Must: s.Must, Last: s.Last, LastKind: s.LastChoice,
		Weight: round(h.Weight, chancePlaces), TooLittle: h.TooLittle,
		Order: repeatsRead{o.Repeats, round(float64(o.Expected), chancePlaces), likelihood(o.SoMany), likelihood(o.SoFew), o.Says},
		Said:  each(h.Said, sentenceOf),
		Choices: each(h.Choices, func(c study.HabitChoice) likelyRead {
			return likelyRead{c.Kind, c.Word, likely(c.Share), c.Here, c.Bout, c.Opponent, c.Others, round(c.Prior, chancePlaces), c.Source}
		}),
	}
	if c := h.Change; c != nil {
		f.Change = &shiftRead{c.Since, c.From, c.To, likely(c.Sure), c.Kind, likely(c.Before), likely(c.After)}
	}
	return f
}
