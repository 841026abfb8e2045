package main

import (
	"context"
	"strings"

	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// learned are the movements that were followed in other touches, by the name of the
// fencer.
type learned map[string][]study.Fit

// learn follows and reads other touches for the movements of their fencers. Each is
// closed before the next is opened: a library is held by one at a time.
func (b *bench) learn(ctx context.Context, e video.Engine, o readOptions) (learned, error) {
	all := learned{}
	for _, name := range o.Learn {
		other := readOptions{Touch: name, Draws: study.MinDraws, Seed: o.Seed, Follow: true, Afresh: o.Afresh}
		s, r, err := b.readWith(ctx, e, other, nil)
		if err != nil {
			return nil, err
		}
		s.close()
		for _, who := range mark.Sides {
			if fencer := r.Touch.Bout.Fencer(who).Name; fencer != "" {
				all[fencer] = append(all[fencer], study.FitsOf(r, who)...)
			}
		}
	}
	return all, nil
}

// of picks the movements of the two fencers of a touch. It refuses touches that show
// neither of them: the flag would change nothing, and nobody would see it.
func (l learned) of(t *study.Touch) (all [2][]study.Fit, err error) {
	found := false
	var names []string
	for _, who := range mark.Sides {
		name := t.Bout.Fencer(who).Name
		fits, known := l[name]
		found = found || known
		all[who] = fits
		if name != "" {
			names = append(names, name)
		}
	}
	if !found {
		if len(names) == 0 {
			return all, misuseHint("Name the fencers in the bout of both touches.", "--learn: this touch does not name its fencers")
		}
		return all, misuseHint("Give touches of the same fencers; they are told by their names.", "--learn: neither %s is in those touches", strings.Join(names, " nor "))
	}
	return all, nil
}
