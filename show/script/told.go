package script

import (
	"fmt"
	"hash/fnv"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/show/plate"
	"mesure/study"
)

// toldLine is a sentence that the study wrote, with its numbers bound.
type toldLine struct {
	key    string
	pieces []Piece
}

// What sentences of the study are from.
const (
	toldStory = "story"
	toldNext  = "next"
	toldNotes = "note"
)

// figure matches a number as the study prints it: "60 ± 16 ms", "9–7", "37 % [12, 65]".
var figure = regexp.MustCompile(`[−<>]?[ \x{a0}]?\d+(?:\.\d+)?(?:–\d+(?:\.\d+)?)?(?:[ \x{a0}]*±[ \x{a0}]*\d+(?:\.\d+)?)?(?:[ \x{a0}]*(?:%|°|(?:ms|cm|m/s|m|s)\b))?(?:[ \x{a0}]\[[^\]]*\])?`)

// sentences binds the numbers of what the study tells of the tactics.
func (f *facts) sentences(x *study.Tactics) {
	how := map[string]study.Source{}
	for _, s := range x.Sources {
		how[s.ID] = s
	}
	for _, part := range []struct {
		kind string
		all  []study.Sentence
	}{{toldStory, x.Story}, {toldNext, x.Next}} {
		for _, s := range part.all {
			f.tell(part.kind, s, how)
		}
	}
}

// note binds the numbers of a note. All of them are measured.
func (f *facts) note(n study.Note) {
	text := f.call.sided(plate.Typeset(n.Text))
	if text != "" && !strings.HasSuffix(text, ".") {
		text += "."
	}
	var s study.Sentence
	at := 0
	for _, m := range figure.FindAllStringIndex(text, -1) {
		a := m[0] + len(text[m[0]:m[1]]) - len(strings.TrimLeft(text[m[0]:m[1]], " \u00a0"))
		s = append(s, study.Piece{Text: text[at:a]}, study.Piece{Text: text[a:m[1]], From: n.Kind})
		at = m[1]
	}
	s = append(s, study.Piece{Text: text[at:]})
	f.tell(toldNotes, s, map[string]study.Source{n.Kind: {Title: f.lang.Titles["note"].Title, How: sentenced(n.Reference)}})
}

// sentenced begins a text as a sentence begins.
func sentenced(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// tell keeps one sentence. Its numbers are bound by the words about them: a number whose
// words have changed is gone, so that no other takes its place. A touch or a score in
// plain words is one of the words, and bound to them. A sentence that is told already is
// not told again.
func (f *facts) tell(kind string, s study.Sentence, how map[string]study.Source) {
	h := fnv.New32a()
	for _, p := range s {
		if p.From == "" {
			fmt.Fprint(h, p.Text)
		} else {
			fmt.Fprint(h, "#"+p.From)
		}
	}
	key := fmt.Sprintf("%s/%08x", kind, h.Sum32())
	for _, all := range f.told {
		for _, l := range all {
			if l.key == key {
				return
			}
		}
	}
	var out []Piece
	bind := func(text string, from study.Source) {
		ref := fmt.Sprintf("%s/%d", key, len(out))
		f.all[ref] = Fact{Ref: ref, Text: text, Title: f.call.hide(plate.Typeset(from.Title)), How: f.call.hide(plate.Typeset(from.How))}
		out = append(out, Piece{Text: text, Ref: ref})
	}
	words := func(text string) {
		if text != "" {
			out = append(out, Piece{Text: f.call.hide(plate.Typeset(text))})
		}
	}
	sheet := study.Source{Title: f.lang.Titles["sheet"].Title, How: f.lang.Titles["sheet"].How}
	for _, p := range s {
		if p.From != "" {
			bind(p.Text, how[p.From])
			continue
		}
		at := 0
		for _, m := range figure.FindAllStringIndex(p.Text, -1) {
			a := m[0] + len(p.Text[m[0]:m[1]]) - len(strings.TrimLeft(p.Text[m[0]:m[1]], " \u00a0"))
			words(p.Text[at:a])
			bind(p.Text[a:m[1]], sheet)
			at = m[1]
		}
		words(p.Text[at:])
	}
	f.told[kind] = append(f.told[kind], toldLine{key, out})
}
