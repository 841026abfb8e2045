package study

import (
	"bytes"
	"context"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Past returns what both fencers of a bout chose in other bouts of the library with
// the same weapon: what could be known of them when it was fenced. The oldest come
// first; of one day all of the left fencer, then all of the right.
//
// Where the bout has a day, only bouts of days before are in it, and of that day those
// that were put into the library before it: a pool is fenced before the elimination.
// Bouts without a day count as older than any. Where the bout has none, all others are
// in it. A fencer without a name has no past. id is empty for a bout that is not in the
// library.
//
// Errors: those of Library.Acts.
func (s Shelf) Past(ctx context.Context, id ID, b *BoutSheet) ([]Act, error) {
	weapon := b.Bout.Weapon
	if weapon == "" {
		weapon = bout.Epee
	}
	var all []Act
	for _, side := range mark.Sides {
		name := b.Bout.Fencer(side).Name
		if bout.NameKey(name) == "" {
			continue
		}
		acts, err := s.Library.Acts(ctx, ActQuery{Fencer: name, Weapon: weapon, Without: id, Before: b.Bout.Date, SameDay: true})
		if err != nil {
			return nil, err
		}
		all = append(all, acts...)
	}
	slices.SortStableFunc(all, func(a, b Act) int { return strings.Compare(a.Day, b.Day) })
	return all, nil
}

// TacticsAsk makes an ask of a bout of the library, about the touch after its last
// line and from the left fencer, with the touches that were taken apart and the past
// of both fencers. At, For and what else is asked are the caller's to set. Gap and
// Band of the touches are left open: they need a reading. Where the actions of a touch
// stand on several takes, their order is known only if Clips is set.
//
// Errors: those of Bout and Past. A touch that does not read is left out, and a doubt
// says so.
func (s Shelf) TacticsAsk(ctx context.Context, id ID) (TacticsAsk, error) {
	b, err := s.Bout(ctx, id)
	if err != nil {
		return TacticsAsk{}, err
	}
	ask := TacticsAsk{ID: id, Bout: b.Sheet.Bout, Words: b.Sheet.Words, For: mark.Left}
	if ask.Past, err = s.Past(ctx, id, b.Sheet); err != nil {
		return TacticsAsk{}, err
	}
	docs, err := s.Library.List(ctx, KindTouch, id)
	if err != nil {
		return TacticsAsk{}, err
	}
	for _, d := range docs {
		t, err := s.Papers.ReadTouch(bytes.NewReader(d.Body), string(d.ID))
		if err != nil {
			ask.Doubts = append(ask.Doubts, Warning{Code: "document-unread", About: string(d.ID), Doubt: 1, Text: "a touch that was taken apart does not read and is left out: " + err.Error()})
			continue
		}
		if t.Line == "" {
			continue
		}
		t.Follow(b.Sheet)
		ask.Seen = append(ask.Seen, SeenTouch{ID: d.ID, Line: t.Line, Title: t.Title, Phrase: t.Written(), When: s.when(ctx, t)})
	}
	return ask, nil
}

// Written is the phrase on the stave of a touch.
func (t *Touch) Written() bout.WrittenPhrase {
	return bout.WrittenPhrase{Weapon: t.Bout.Weapon, Actions: t.Actions, Notes: t.Notes, Priority: t.Priority}
}

// when tells the time of the actions of a touch by the clocks that its takes declare.
// It is nil, so that frames tell their order, where the takes are fewer than two or the
// time stamps of a video are not at hand.
func (s Shelf) when(ctx context.Context, t *Touch) bout.When {
	if len(t.Takes) < 2 || s.Clips == nil {
		return nil
	}
	r := &Reading{Touch: t, Clips: map[string]mark.Clip{}}
	for _, v := range t.Videos {
		if c, ok := s.Clips(ctx, v); ok {
			r.Clips[v.ID] = v.Clip(c)
		}
	}
	return r.WhenOf()
}

// WhenOf tells the time of actions by the clocks of a reading.
func (r *Reading) WhenOf() bout.When {
	return func(a bout.Action) (from, to float64, known bool) {
		at := func(f mark.Frame) (quantity.Seconds, bool) {
			q, ok := r.When(a.Take, f)
			return q.Mean, ok
		}
		b, ok := at(a.From)
		e, also := at(a.To)
		return float64(b), float64(e), ok && also
	}
}
