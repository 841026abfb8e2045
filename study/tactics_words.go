package study

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// spoken is a sentence on its way: a string is plain words, a Piece a number, a
// mark.Side the name of that fencer, a spoken a part that is set in.
type spoken []any

// sentence sets names and joins plain words. full names a fencer in full the first time,
// and forgets that then; nil always takes the short name.
func (x *tacticsRun) sentence(parts spoken, full map[mark.Side]bool) Sentence {
	var out Sentence
	plain := func(text string) {
		if n := len(out); n > 0 && out[n-1].From == "" {
			out[n-1].Text += text
			return
		}
		out = append(out, Piece{Text: text})
	}
	var add func(spoken)
	add = func(parts spoken) {
		for _, p := range parts {
			switch v := p.(type) {
			case string:
				plain(v)
			case Piece:
				out = append(out, v)
			case mark.Side:
				if full[v] {
					full[v] = false
					plain(x.named(v, x.called(v)))
					continue
				}
				plain(x.short(v))
			case spoken:
				add(v)
			}
		}
	}
	add(parts)
	if len(out) > 0 && out[0].From == "" {
		out[0].Text = upperFirst(out[0].Text)
	}
	return out
}

// mostOfName is how many letters of a name or of a coach's own word stand in a sentence:
// longer ones would hide what is said of them.
const mostOfName = 32

// onOneLine keeps what somebody typed on the line, and clips it.
func onOneLine(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if utf8.RuneCountInString(text) > mostOfName {
		text = strings.TrimSpace(string([]rune(text)[:mostOfName-1])) + "…"
	}
	return text
}

func upperFirst(text string) string {
	r, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(r)) + text[n:]
}

// short is what a fencer is called after the first time: the family name where the name
// is two words and the other fencer has another one, else the whole name.
func (x *tacticsRun) short(s mark.Side) string {
	mine, theirs := familyName(x.called(s)), familyName(x.called(s.Other()))
	if bout.SameName(mine, theirs) {
		return x.named(s, x.called(s))
	}
	return x.named(s, mine)
}

// named is a name on one line. One that is too long keeps its last words, whole ones, so
// that who leaves names out finds them; where not even one is short enough, the side
// stands for it.
func (x *tacticsRun) named(s mark.Side, name string) string {
	words := strings.Fields(name)
	for len(words) > 1 && utf8.RuneCountInString(strings.Join(words, " ")) > mostOfName {
		words = words[1:]
	}
	if name = strings.Join(words, " "); utf8.RuneCountInString(name) > mostOfName {
		return [2]string{"Left", "Right"}[s]
	}
	return name
}

// familyName is the second of two words, or the one in capitals, as results are printed;
// the name itself where that does not tell.
func familyName(name string) string {
	words := strings.Fields(name)
	if len(words) != 2 {
		return name
	}
	capital := func(w string) bool {
		return utf8.RuneCountInString(strings.TrimSuffix(w, ".")) > 1 && w == strings.ToUpper(w) && w != strings.ToLower(w)
	}
	initial := func(w string) bool { return utf8.RuneCountInString(strings.TrimSuffix(w, ".")) < 2 }
	switch first, last := words[0], words[1]; {
	case initial(last) || capital(first) && !capital(last):
		if initial(first) {
			return name
		}
		return first
	default:
		return last
	}
}

// kindSpeech is how a kind of choice stands in a sentence.
type kindSpeech struct {
	noun string // "the straight attack"
	does string // "attacks straight"
	do   string // of two: "attack straight"
}

var kindsSpoken = map[string]kindSpeech{
	bout.ChoiceAttack:      {"the straight attack", "attacks straight", "attack straight"},
	bout.ChoiceFeint:       {"the feint and attack", "feints and attacks", "feint and attack"},
	bout.ChoiceBlade:       {"the attack on the blade", "attacks on the blade", "attack on the blade"},
	bout.ChoiceCounter:     {"the counter-attack", "counter-attacks", "counter-attack"},
	bout.ChoiceParry:       {"the parry and riposte", "waits for the parry", "wait for the parry"},
	bout.ChoiceCounterTime: {"counter-time", "plays counter-time", "play counter-time"},
	bout.ChoiceDistance:    {"the step out of distance", "steps out of distance", "step out of distance"},
}

// spokenKind is how a kind is said; a word that stands for none is quoted.
func spokenKind(kind string) kindSpeech {
	if k, ok := kindsSpoken[kind]; ok {
		return k
	}
	own := "“" + onOneLine(kind) + "”"
	return kindSpeech{own, "plays " + own, "play " + own}
}

// kindNoun is a kind in the middle of a sentence, with its article.
func kindNoun(kind string) string { return spokenKind(kind).noun }

// answers are the kinds of choice that wait for what the other does.
var answers = []string{bout.ChoiceCounter, bout.ChoiceParry, bout.ChoiceDistance}

// answered is an answer to what the other does, set before the noun for that and the
// words after it: where it hits, and where it does not.
var answered = map[string][2][2]string{
	bout.ChoiceCounter:  {{" counter-attacks into ", ""}, {" counter-attacks into ", ""}},
	bout.ChoiceParry:    {{" parries ", ""}, {" looks for the parry against ", ""}},
	bout.ChoiceDistance: {{" lets ", " fall short"}, {" steps back from ", ""}},
}

// clause tells line i: who did what, how often these two have met, who hit. It has no
// full stop.
func (x *tacticsRun) clause(i int) spoken {
	f, o := x.ask.For, x.ask.For.Other()
	k := x.lines[i].Kinds
	hit, who := x.hitter(i)
	switch {
	case k[f] == "" && k[o] == "":
		return x.tail(i)
	case k[f] == "" || k[o] == "":
		s := f
		if k[f] == "" {
			s = o
		}
		if hit && who == s {
			return spoken{s, " hits with ", kindNoun(k[s])}
		}
		return spoken{s, " ", spokenKind(k[s]).does, x.link(i, s), x.tail(i)}
	case k[f] == k[o]:
		return spoken{"both ", spokenKind(k[f]).do, x.nth(i), "; ", x.tail(i)}
	}
	a, b := f, o
	if slices.Contains(answers, k[a]) && !slices.Contains(answers, k[b]) {
		a, b = b, a
	}
	if slices.Contains(answers, k[a]) || !slices.Contains(answers, k[b]) {
		return spoken{a, " ", spokenKind(k[a]).does, " and ", b, " ", spokenKind(k[b]).does, comma(x.nth(i)), ": ", x.tail(i)}
	}
	if hit && who == b {
		w := answered[k[b]][0]
		return spoken{b, w[0], kindNoun(k[a]), w[1], x.nth(i), " and hits"}
	}
	w := answered[k[b]][1]
	return spoken{b, w[0], kindNoun(k[a]), w[1], x.nth(i), x.link(i, b), x.tail(i)}
}

// comma sets a part off, where there is one.
func comma(p spoken) spoken {
	if len(p) == 0 {
		return nil
	}
	return spoken{",", p}
}

// hitter is who hit alone on line i.
func (x *tacticsRun) hitter(i int) (bool, mark.Side) {
	switch x.lines[i].outcome() {
	case "left":
		return true, mark.Left
	case "right":
		return true, mark.Right
	}
	return false, mark.Left
}

// link goes before how line i ended, where s did something.
func (x *tacticsRun) link(i int, s mark.Side) string {
	if hit, who := x.hitter(i); hit && who != s {
		return ", but "
	}
	return ", and "
}

// tail is how line i ended.
func (x *tacticsRun) tail(i int) spoken {
	hit, who := x.hitter(i)
	switch {
	case hit:
		return spoken{who, " hits"}
	case x.lines[i].outcome() == "double" && x.void(x.lines[i].Before):
		return spoken{"both hit, which counts for nobody there"}
	case x.lines[i].outcome() == "double":
		return spoken{"both hit"}
	case x.ask.Bout.Sheet[i].Annulled:
		return spoken{"what the lamps show is annulled"}
	case x.ask.Bout.Weapon != bout.Epee:
		return spoken{"no hit is given"}
	}
	return spoken{"nobody hits"}
}

// void reports whether a double counts for nobody at a score.
func (x *tacticsRun) void(s bout.Score) bool {
	b := x.ask.Bout
	return b.Weapon == bout.Epee && !b.LastDoubleCounts && s.Left == b.Touches-1 && s.Right == b.Touches-1
}

// ordinals are written out as far as a bout to 5 may go; beyond that figures read faster.
var ordinals = []string{"", "first", "second", "third", "fourth", "fifth"}

// nth says how often the two choices of line i have met by then; nothing the first time.
func (x *tacticsRun) nth(i int) spoken {
	met := x.touchesWhere(i+1, func(l tacticsLine) bool { return l.Kinds == x.lines[i].Kinds })
	n := len(met)
	if n < 2 {
		return nil
	}
	word := fmt.Sprintf("%dth", n)
	if n < len(ordinals) {
		word = ordinals[n]
	}
	from := x.source(Source{ID: fmt.Sprintf("met-%d", x.lines[i].Number), Title: fmt.Sprintf("How often these two choices have met by touch %d", x.lines[i].Number), How: countedHow, Touches: met, Method: methodThread})
	return spoken{" for the ", Piece{word, from}, " time"}
}

// touchesWhere are the numbers of the lines before i that keep to a rule.
func (x *tacticsRun) touchesWhere(i int, keeps func(tacticsLine) bool) []int {
	var all []int
	for _, l := range x.lines[:i] {
		if keeps(l) {
			all = append(all, l.Number)
		}
	}
	return all
}

// What sources of this bout's sheet say of themselves.
const (
	methodThread = "The thread and the story"
	methodScore  = "What a score is worth"
	countedHow   = "Counted on the sheet, by kinds of choice: as the sheet writes them, else as the stave begins."
)

// touchFrom is the source of what stands on line i.
func (x *tacticsRun) touchFrom(i int) string {
	l := x.lines[i]
	s := Source{ID: fmt.Sprintf("touch-%d", l.Number), Title: fmt.Sprintf("Touch %d, at %s", l.Number, scoreWords(l.Before)), How: "A line of the score sheet.", Touches: []int{l.Number}}
	if l.From[mark.Left] == "stave" || l.From[mark.Right] == "stave" {
		s.How = "A line of the score sheet; what the sheet does not write of the choices is read from the stave."
		s.Reading = l.Seen.ID
	}
	return x.source(s)
}

// touchNumber and touchScore are numbers of line i.
func (x *tacticsRun) touchNumber(i int) Piece {
	return Piece{fmt.Sprint(x.lines[i].Number), x.touchFrom(i)}
}

func (x *tacticsRun) touchScore(i int) Piece {
	return Piece{scoreWords(x.lines[i].Before), x.touchFrom(i)}
}

// timesWord counts.
func timesWord(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}
