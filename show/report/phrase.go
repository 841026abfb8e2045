package report

import (
	"fmt"
	"strings"

	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// phraseSection is what is written on the stave, in words.
type phraseSection struct {
	Sentence string
	// Choices and Launch are one sentence each; empty where they are not known.
	Choices, Launch string
	Doubts          []phraseDoubt
}

type phraseDoubt struct{ Text, Article string }

// phraseSectionOf is nil where nothing is written.
func phraseSectionOf(r *study.Reading, names plate.Naming) *phraseSection {
	if len(r.Touch.Actions) == 0 {
		return nil
	}
	p := r.Phrase()
	out := &phraseSection{Sentence: p.Sentence}
	switch b := r.Touch.Bout; names {
	case plate.Anonymous:
		out.Sentence = p.Nameless
	case plate.Initials:
		out.Sentence = plate.Call(names, [2]string{b.Left.Name, b.Right.Name}).Rename(p.Sentence)
	}
	out.Sentence = plate.Typeset(out.Sentence)
	var said []string
	for _, s := range mark.Sides {
		if k := p.Choices[s]; k != "" {
			said = append(said, fmt.Sprintf("%s set out with: %s.", plate.Name(s), wordOf(bout.ChoiceKinds(), k)))
		}
	}
	out.Choices = strings.Join(said, " ")
	if l := p.Launch; l != nil {
		out.Launch = fmt.Sprintf("When the first attack went off, %s’s point was %s from the chest: %s (%s).", strings.ToLower(plate.Name(l.Who)), plate.Metres(l.Gap), wordOf(bout.Measures(), l.Band), plate.ChanceFigure(l.Chance).Text)
	}
	for _, w := range p.Warnings {
		out.Doubts = append(out.Doubts, phraseDoubt{plate.Typeset(w.Text), w.Article})
	}
	return out
}

// wordOf is the word for a name of a list; the name where it has none.
func wordOf(all []bout.Term, name string) string {
	for _, t := range all {
		if t.Name == name {
			return t.Word
		}
	}
	return name
}
