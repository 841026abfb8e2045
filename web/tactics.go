package web

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/summary"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// tactics answers what the earlier touches and the score make of one touch. What is
// asked of the library is kept until a document changes and the last answers with it,
// so that another light or another width costs its pictures alone, and a slider no
// reading of the whole bout.
func (s *Server) tactics(ctx context.Context, in *inTactics) (*body[TacticsAnswer], error) {
	if err := s.is(ctx, in.ID, study.KindBout); err != nil {
		return nil, err
	}
	t, err := s.tacticsOf(ctx, in)
	if err != nil {
		return nil, err
	}
	out := TacticsAnswer{Tactics: summary.TacticsOf(t), Kinds: wordsOf(bout.ChoiceKinds()), Pictures: map[string]string{}}
	look := lookOf(in.Night, in.Phone)
	for _, name := range in.Pictures {
		if err := out.draw(t, name, chart.Options{Layout: look.layout, Theme: look.theme, Bare: true}); err != nil {
			return nil, err
		}
	}
	return &body[TacticsAnswer]{out}, nil
}

// ask fills in what the window asked.
func (in *inTactics) ask(a study.TacticsAsk) study.TacticsAsk {
	a.At, a.Draws = in.At, in.Draws
	if in.For == mark.Right.String() {
		a.For = mark.Right
	}
	w := quantity.Chance(in.Weight)
	a.Weight = &w
	if len(in.Mine) > 0 {
		a.Mine = in.Mine
	}
	if len(in.Theirs) > 0 {
		a.Theirs = in.Theirs
	}
	if in.Gap > 0 {
		gap := study.GapByEye(quantity.Metres(in.Gap))
		a.Gap = &gap
	}
	if in.Clock >= 0 {
		a.Clock = &study.ClockAsk{Left: quantity.Seconds(in.Clock), Priority: in.Priority, Unwillingness: in.Unwillingness, Seeded: in.Seeded}
	}
	return a
}

// draw adds the picture of this name; one that the sheet does not carry is left out,
// since the answer says in words what is lacking.
func (a *TacticsAnswer) draw(t *study.Tactics, name TacticsPicture, o chart.Options) error {
	switch name {
	case picThread:
		d, err := chart.Thread(t, o)
		return a.add(string(name), d, err)
	case picHabitLeft:
		d, err := chart.Habit(t, mark.Left, o)
		return a.add(string(name), d, err)
	case picHabitRight:
		d, err := chart.Habit(t, mark.Right, o)
		return a.add(string(name), d, err)
	case picPayoff:
		d, err := chart.Payoff(t, o)
		return a.add(string(name), d, err)
	case picBalance:
		if t.Payoff == nil {
			return nil
		}
		for i := range t.Payoff.Balances {
			d, err := chart.Balance(t, i, o)
			if err := a.add(fmt.Sprintf("%s-%d", name, i), d, err); err != nil {
				return err
			}
		}
		return nil
	}
	if t.Bout == nil {
		return nil
	}
	d, err := chart.Bout(t.Bout, o)
	return a.add(string(name), d, err)
}

// add writes a drawing into the answer.
func (a *TacticsAnswer) add(name string, d *draw.Drawing, err error) error {
	for _, none := range []error{chart.ErrNoBout, chart.ErrNoThread, chart.ErrNoHabit, chart.ErrNoPayoff, chart.ErrNoBalance} {
		if errors.Is(err, none) {
			return nil
		}
	}
	if err != nil {
		return err
	}
	var b strings.Builder
	if err := d.PageSVG(&b, "tactics"); err != nil {
		return err
	}
	a.Pictures[name] = b.String()
	return nil
}

// tacticsOf computes what was asked, or takes it from the last answers.
func (s *Server) tacticsOf(ctx context.Context, in *inTactics) (*study.Tactics, error) {
	turn := s.turns.Load()
	key := in.key()
	if t := s.threads.answer(turn, key); t != nil {
		return t, nil
	}
	ask, err := s.tacticsAsk(ctx, in.ID, turn)
	if err != nil {
		return nil, err
	}
	ask = in.ask(ask)
	ask.Whole = s.threads.whole(turn, in.whole())
	if ask.Reading, err = s.readingAt(ctx, ask, turn); err != nil {
		return nil, err
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	t, err := study.TacticsOf(ask)
	if err != nil {
		return nil, err
	}
	s.threads.keep(oneThread{turn, in.whole(), key, t})
	return t, nil
}

// lineAt is the line of a bout's sheet that has a number.
func lineAt(b bout.Bout, number int) string {
	i := slices.IndexFunc(b.Sheet, func(p bout.Phrase) bool { return p.Number == number })
	if number <= 0 || i < 0 {
		return ""
	}
	return b.Sheet[i].ID
}
