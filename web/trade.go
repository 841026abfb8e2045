package web

import (
	"context"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// trade answers with the names, places and words of the sport: they are the same
// for every touch, but for the width of the piste, from which y is scaled.
func (s *Server) trade(context.Context, *struct{}) (*body[Trade], error) {
	out := Trade{
		Points: []PistePoint{}, Lines: []PisteLine{}, Things: []Word{}, Targets: []Word{}, Words: map[string][]Word{}, Own: []OwnFigure{},
		Movements: wordsOf(study.Movements()), Weapons: wordsOf(bout.Weapons()), Grips: wordsOf(bout.Grips()),
		Cards: wordsOf(bout.Cards()), Moments: wordsOf(bout.UsualMoments()), SD: mark.DefaultSD,
	}
	out.Natures, out.Intentions, out.Results = wordsOf(bout.Natures()), wordsOf(bout.Intentions()), wordsOf(bout.Results())
	out.Measures, out.Choices, out.Parries = wordsOf(bout.Measures()), wordsOf(bout.ChoiceKinds()), wordsOf(bout.ParryLines())
	for _, k := range bout.ActionKinds() {
		out.Kinds = append(out.Kinds, string(k))
	}
	for _, f := range bout.OwnFigures() {
		out.Own = append(out.Own, OwnFigure{Word{f.Name, f.Word, f.About}, f.Unit, f.Least, f.Most})
	}
	for _, name := range piste.Names() {
		if on, ok := piste.Named(name, piste.Width); ok {
			out.Points = append(out.Points, PistePoint{Name: name, Word: piste.PointWord(name), On: on, Painted: piste.IsPainted(name)})
		}
	}
	for _, name := range piste.LineNames() {
		if a, b, ok := piste.LineNamed(name, piste.Width); ok {
			out.Lines = append(out.Lines, PisteLine{Name: name, Word: piste.LineWord(name), A: a, B: b, Painted: piste.IsPainted(name)})
		}
	}
	for _, w := range mark.Points() {
		out.Things = append(out.Things, Word{string(w), w.Word(), w.About()})
	}
	for _, t := range mark.Targets() {
		out.Targets = append(out.Targets, Word{Name: string(t), Word: t.Word()})
	}
	for _, line := range bout.StaveLines {
		all := []Word{}
		for _, w := range bout.StaveWords(line) {
			all = append(all, Word{w.Word, w.Word, w.About})
		}
		out.Words[line] = all
	}
	return &body[Trade]{out}, nil
}

func wordsOf(terms []bout.Term) []Word {
	all := []Word{}
	for _, t := range terms {
		all = append(all, Word(t))
	}
	return all
}
