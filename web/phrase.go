package web

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// PhraseTold is the phrase on the stave as words: the sentence, what the grammar asks,
// and what the sheet could take over.
type PhraseTold struct {
	// Written says whether anything is.
	Written  bool          `json:"written"`
	Sentence string        `json:"sentence"`
	Warnings []PhraseDoubt `json:"warnings"`
	// Left and Right are what the two set out to do, as kinds of choice; nil where the
	// stave does not say it.
	Left  *Word `json:"left,omitempty"`
	Right *Word `json:"right,omitempty"`
	// Launch is the measure at which the attack went off; nil where it was not measured.
	Launch *LaunchTold `json:"launch,omitempty"`
	// Sheet is what the line of the sheet has; nil for a touch without a line.
	Sheet *SheetTold `json:"sheet,omitempty"`
	// Unknown are words of nobody, each once: they may be kept as the coach's own.
	Unknown []UnknownWord `json:"unknown"`
}

// PhraseDoubt is one warning of the grammar.
type PhraseDoubt struct {
	// Action is the one that it is about; empty for the phrase.
	Action string `json:"action,omitempty"`
	Code   string `json:"code"`
	// Article of the technical rules; empty where only the trade says so.
	Article string `json:"article,omitempty"`
	Text    string `json:"text"`
}

// LaunchTold is the measure at which the attack went off.
type LaunchTold struct {
	Who mark.Side      `json:"who"`
	Gap summary.Number `json:"gap"`
	// Band is one of the measures, Chance how likely it is that one.
	Band   Word           `json:"band"`
	Chance summary.Number `json:"chance"`
}

// SheetTold is what a line of the sheet has of a phrase.
type SheetTold struct {
	Line string `json:"line"`
	// Left, Right and Measure as they stand there; empty where nothing does.
	Left    string `json:"left,omitempty"`
	Right   string `json:"right,omitempty"`
	Measure string `json:"measure,omitempty"`
	// Differs names what the stave says otherwise, Fills what it would add: each of
	// "left", "right", "measure".
	Differs []string `json:"differs"`
	Fills   []string `json:"fills"`
}

// UnknownWord is a word of nobody on the stave, with the line on which it stands first.
type UnknownWord struct {
	Word string `json:"word"`
	Line string `json:"line"`
}

// phraseOf tells the phrase of a reading.
func phraseOf(r *study.Reading) *PhraseTold {
	p, v := r.Phrase(), r.Touch.Vocabulary()
	out := &PhraseTold{Written: len(p.Written.Actions) > 0, Sentence: p.Sentence, Warnings: []PhraseDoubt{}, Unknown: []UnknownWord{}}
	for _, w := range p.Warnings {
		out.Warnings = append(out.Warnings, PhraseDoubt{w.ActionID, w.Code, w.Article, w.Text})
	}
	for _, a := range p.Written.Actions {
		if _, ok := v.Word(a.Word); !ok && a.Word != "" && !slices.ContainsFunc(out.Unknown, func(u UnknownWord) bool { return bout.SameName(u.Word, a.Word) }) {
			out.Unknown = append(out.Unknown, UnknownWord{a.Word, a.Line})
		}
	}
	out.Left, out.Right = kindNamed(p.Choices[mark.Left]), kindNamed(p.Choices[mark.Right])
	if l := p.Launch; l != nil {
		out.Launch = &LaunchTold{Who: l.Who, Gap: summary.Number(plate.FigureOf(l.Gap, plate.InMetres)), Band: termNamed(bout.Measures(), l.Band), Chance: summary.Number(plate.ChanceFigure(l.Chance))}
	}
	if i := slices.IndexFunc(r.Touch.Bout.Sheet, func(p bout.Phrase) bool { return r.Touch.Line != "" && p.ID == r.Touch.Line }); i >= 0 {
		out.Sheet = sheetTold(r.Touch.Bout.Sheet[i], p, v)
	}
	return out
}

// sheetTold compares a line of the sheet with the stave. Words of one kind are one.
func sheetTold(line bout.Phrase, p study.Phrase, v bout.Vocabulary) *SheetTold {
	out := &SheetTold{Line: line.ID, Measure: line.Measure, Differs: []string{}, Fills: []string{}}
	say := func(what, has, would string, same bool) {
		switch {
		case would == "" || same:
		case has == "":
			out.Fills = append(out.Fills, what)
		default:
			out.Differs = append(out.Differs, what)
		}
	}
	if line.Choices != nil {
		out.Left, out.Right = line.Choices.Left, line.Choices.Right
	}
	for _, s := range mark.Sides {
		has := bout.Choices{Left: out.Left, Right: out.Right}.Of(s)
		kind, _ := v.ChoiceOf(has)
		say(s.String(), has, p.Choices[s], kind == p.Choices[s])
	}
	if p.Launch != nil {
		say("measure", line.Measure, p.Launch.Band, line.Measure == p.Launch.Band)
	}
	return out
}

// kindNamed is a kind of choice with its word; nil for none.
func kindNamed(name string) *Word {
	if name == "" {
		return nil
	}
	w := termNamed(bout.ChoiceKinds(), name)
	return &w
}

// termNamed is the term of a list with this name, or the name itself.
func termNamed(all []bout.Term, name string) Word {
	if i := slices.IndexFunc(all, func(t bout.Term) bool { return t.Name == name }); i >= 0 {
		return Word(all[i])
	}
	return Word{Name: name, Word: name}
}

type inToSheet struct {
	OfID
	Body struct {
		Left    string `json:"left,omitempty" maxLength:"80" doc:"What the left fencer chose; empty leaves what the sheet has."`
		Right   string `json:"right,omitempty" maxLength:"80" doc:"What the right fencer chose; empty leaves what the sheet has."`
		Measure string `json:"measure,omitempty" enum:"short,medium,long,out," doc:"The measure; empty leaves what the sheet has."`
	}
}

// toSheet writes what the stave says to the line of the bout's sheet, as one step of the
// bout.
func (s *Server) toSheet(ctx context.Context, in *inToSheet) (*body[TouchPaper], error) {
	t, err := s.touchFor(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	if t.Document.Of == "" || t.Touch.Line == "" {
		return nil, &study.Refusal{At: "/line", What: "this touch is no line of a score sheet", Mend: "take a line of a bout apart, and write the phrase there"}
	}
	found := false
	err = s.savedAnew(ctx, t.Document.Of, fmt.Sprintf("take line %d over from the stave", t.Touch.Number), func(b *study.BoutSheet) bool {
		i := slices.IndexFunc(b.Bout.Sheet, func(p bout.Phrase) bool { return p.ID == t.Touch.Line })
		if found = i >= 0; !found {
			return false
		}
		p := &b.Bout.Sheet[i]
		was, wasMeasure := bout.Choices{}, p.Measure
		if p.Choices != nil {
			was = *p.Choices
		}
		now := bout.Choices{Left: cmp.Or(in.Body.Left, was.Left), Right: cmp.Or(in.Body.Right, was.Right)}
		if now != (bout.Choices{}) {
			p.Choices = &now
		}
		p.Measure = cmp.Or(in.Body.Measure, p.Measure)
		return now != was || p.Measure != wasMeasure
	})
	if err == nil && !found {
		err = &study.Refusal{At: "/line", What: "the line of this touch is no longer on the sheet", Mend: "undo its removal on the bout sheet"}
	}
	if err != nil {
		return nil, err
	}
	t, err = s.touchFor(ctx, in.ID)
	return s.touchAnswer(ctx, t, err)
}
