package web

import (
	"context"
	"slices"
	"strings"
	"sync"

	"mesure/sport/bout"
	"mesure/study"
)

// Words are found here and not in the browser: how a word is matched, in which language
// and which comes first is one piece of the trade's knowledge (bout.Vocabulary.Find), and
// written twice it would be two. An answer takes well below a millisecond; the browser
// keeps those it had.

// FoundWord is one word that answers what was typed.
type FoundWord struct {
	// Word is what is written.
	Word string `json:"word"`
	// French is the trade's term, where it is another word; Term the one that was found
	// by, where it is neither of the two.
	French string `json:"french,omitempty"`
	Term   string `json:"term,omitempty"`
	About  string `json:"about,omitempty"`
	// Counts is the kind of choice that it counts as, in words; only for a choice, and
	// only where it is not the word itself.
	Counts string `json:"counts,omitempty"`
	// Article of the rules that defines it; Source where the word comes from.
	Article string `json:"article,omitempty"`
	Source  string `json:"source,omitempty"`
	Own     bool   `json:"own,omitempty"`
}

// FoundWords are the words that answer what was typed, best first.
type FoundWords struct {
	Words []FoundWord `json:"words"`
	// Exact says whether what was typed is a word of the trade or the coach's own.
	Exact bool `json:"exact"`
}

type inWords struct {
	Typed  string   `query:"typed" maxLength:"80"`
	Line   string   `query:"line" enum:"feet,hand,blade," doc:"The line of the stave; empty takes all."`
	Weapon string   `query:"weapon" enum:"epee,foil,sabre," doc:"Leaves out the words of the others; the bout's goes before."`
	Bout   study.ID `query:"bout" maxLength:"200" doc:"The bout whose coach's own words count."`
	Choice bool     `query:"choice" doc:"Words for a choice on the sheet: kinds of choice first."`
}

// foundMost is how many words an answer has.
const foundMost = 9

// findWords answers with the words that begin as typed.
func (s *Server) findWords(ctx context.Context, in *inWords) (*body[FoundWords], error) {
	v, err := s.vocabulary(ctx, in.Bout, bout.Weapon(in.Weapon))
	if err != nil {
		return nil, err
	}
	typed := strings.TrimSpace(in.Typed)
	out := FoundWords{Words: []FoundWord{}}
	if in.Choice {
		_, out.Exact = v.ChoiceOf(typed)
		for _, m := range v.FindChoices(typed) {
			f := FoundWord{Word: m.Word, Term: m.Term, About: m.About}
			if w := termNamed(bout.ChoiceKinds(), m.Kind).Word; w != m.Word {
				f.Counts = w
			}
			if m.Language == "fr" {
				f.French, f.Term = m.Term, ""
			}
			out.Words = append(out.Words, f)
		}
	} else {
		_, out.Exact = v.Word(typed)
		if v.Used, err = s.used.counts(ctx, s); err != nil {
			return nil, err
		}
		for _, m := range v.Find(typed, in.Line) {
			out.Words = append(out.Words, foundWord(m))
		}
	}
	out.Words = out.Words[:min(len(out.Words), foundMost)]
	return &body[FoundWords]{out}, nil
}

func foundWord(m bout.WordMatch) FoundWord {
	w := m.Word
	f := FoundWord{Word: w.Name, About: w.About, Article: w.Article, Source: w.Source, Own: w.Own}
	if !bout.SameName(w.French, w.Name) {
		f.French = w.French
	}
	if m.Term != "" && !bout.SameName(m.Term, w.Name) && !bout.SameName(m.Term, w.French) {
		f.Term = m.Term
	}
	return f
}

// vocabulary is that of a bout, or of a weapon where no bout is named.
func (s *Server) vocabulary(ctx context.Context, id study.ID, weapon bout.Weapon) (bout.Vocabulary, error) {
	var own []bout.OwnWord
	if id != "" {
		d, err := s.c.Shelf.Library.Get(ctx, id)
		if err != nil {
			return bout.Vocabulary{}, err
		}
		if d.Kind != study.KindBout {
			return bout.Vocabulary{}, study.ErrNotFound
		}
		b, err := s.papers.bout(d)
		if err != nil {
			return bout.Vocabulary{}, err
		}
		own, weapon = b.Words, b.Bout.Weapon
	}
	if weapon == "" {
		weapon = bout.Epee
	}
	v, _ := bout.VocabularyOf(weapon, own)
	return v, nil
}

// unknownChoices are the words for a choice on a sheet that stand for no kind, each once.
func unknownChoices(b *study.BoutSheet) []string {
	v, _ := bout.VocabularyOf(b.Bout.Weapon, b.Words)
	out := []string{}
	for _, p := range b.Bout.Sheet {
		if p.Choices == nil {
			continue
		}
		for _, w := range [2]string{p.Choices.Left, p.Choices.Right} {
			if _, ok := v.ChoiceOf(w); w != "" && !ok && !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return out
}

type inOwnWord struct {
	OfID
	Body struct {
		Word bout.OwnWord `json:"word"`
	}
}

// keepWord keeps a word as the coach's own in the document of a bout, as one step of it.
// A word of one's own with the same name is replaced.
func (s *Server) keepWord(ctx context.Context, in *inOwnWord) (*body[FoundWords], error) {
	var refused error
	err := s.savedAnew(ctx, in.ID, "keep a word of one's own", func(b *study.BoutSheet) bool {
		words := slices.DeleteFunc(slices.Clone(b.Words), func(w bout.OwnWord) bool { return bout.SameName(w.Word, in.Body.Word.Word) })
		words = append(words, in.Body.Word)
		if _, bad := bout.VocabularyOf(b.Bout.Weapon, words); len(bad) > 0 {
			refused = &study.Refusal{At: "/word", What: bad[len(bad)-1].Error()}
			return false
		}
		b.Words = words
		return true
	})
	if refused != nil {
		return nil, refused
	}
	if err != nil {
		return nil, err
	}
	return s.findWords(ctx, &inWords{Typed: in.Body.Word.Word, Bout: in.ID})
}

// wordsUsed counts how often each word stands on the staves of the library: what a coach
// writes often is offered first.
type wordsUsed struct {
	mu sync.Mutex
	of map[study.ID]map[string]int // nil until it is first asked for
}

// counts adds up all touches. The first call reads the library, later ones do not.
func (u *wordsUsed) counts(ctx context.Context, s *Server) (map[string]int, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.of == nil {
		docs, err := s.c.Shelf.Library.List(ctx, study.KindTouch, "")
		if err != nil {
			return nil, err
		}
		u.of = map[study.ID]map[string]int{}
		for _, d := range docs {
			u.see(s, d)
		}
	}
	all := map[string]int{}
	for _, words := range u.of {
		for w, n := range words {
			all[w] += n
		}
	}
	return all, nil
}

// see takes in the state of one touch; the caller holds the lock.
func (u *wordsUsed) see(s *Server, d study.Document) {
	if g, err := s.papers.touch(d); err == nil && len(g.words) > 0 {
		u.of[d.ID] = g.words
	} else {
		delete(u.of, d.ID)
	}
}

// told hears of a document that was changed; one that is gone has no kind.
func (u *wordsUsed) told(s *Server, d study.Document) {
	u.mu.Lock()
	defer u.mu.Unlock()
	switch {
	case u.of == nil:
	case d.Kind == study.KindTouch:
		u.see(s, d)
	case d.Kind == "":
		delete(u.of, d.ID)
	}
}

// usedWords counts the words of one touch by their names in the vocabulary.
func usedWords(t *study.Touch) map[string]int {
	var out map[string]int
	for _, a := range t.Actions {
		name := a.Word
		if w, ok := (bout.Vocabulary{}).Word(a.Word); ok {
			name = w.Name
		}
		if out == nil {
			out = map[string]int{}
		}
		out[name]++
	}
	return out
}
