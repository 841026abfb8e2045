package script

import (
	"maps"
	"slices"
	"strings"

	"mesure/sport/mark"
	"mesure/study"
)

// draft is a script on its way.
type draft struct {
	r     *study.Reading
	o     Options
	lang  *Language
	call  calling
	facts *facts
	lines map[string][]Line
	// depth is the index of the level in a Wording.
	depth int
}

func newDraft(r *study.Reading, o Options, lang *Language) *draft {
	c := callingOf(r, o.Names)
	d := &draft{r: r, o: o, lang: lang, call: c, facts: factsOf(r, c, lang), lines: map[string][]Line{}}
	for i, l := range levels {
		if l == o.Level {
			d.depth = i
		}
	}
	return d
}

// nums are slots that take a number: the name of the slot and the Ref.
type nums map[string]string

// say adds a line where the language has a sentence for this level. key names what it is
// about, once in a script: "gap/left"; its wording is that of what stands before the
// slash. A claim that ends in hedged is said with "most likely". A number that the reading does not have leaves the line out.
func (d *draft) say(part, key, wording, claim string, w words, n nums, lists map[string][]Piece) {
	id, sure := wording, strings.TrimSuffix(claim, hedged)
	if sure != "" {
		id += "/" + sure
	}
	text, ok := d.lang.Lines[id]
	if !ok {
		panic("script: no sentence " + id)
	}
	if text[d.depth] == "" {
		return
	}
	slots := d.facts.slots(w)
	maps.Copy(slots, lists)
	slots["hedge"] = nil
	if sure != claim {
		slots["hedge"] = []Piece{{Text: d.lang.Hedge}}
	}
	lost := false
	for slot, ref := range n {
		if p, ok := d.number(ref); ok {
			slots[slot] = []Piece{p}
		}
	}
	pieces := fill(text[d.depth], slots, func(string) { lost = true })
	if lost {
		return
	}
	d.lines[part] = append(d.lines[part], Line{Key: key, Claim: claim, Pieces: pieces})
}

func (d *draft) number(ref string) (Piece, bool) {
	f, ok := d.facts.all[ref]
	return Piece{Text: f.Text, Ref: ref}, ok
}

// list joins things with their numbers, the first most of them.
func (d *draft) list(refs []string, names []string, most int) []Piece {
	n := min(len(refs), most)
	var out []Piece
	for i := range n {
		if i > 0 {
			sep := d.lang.List[0]
			if i == n-1 {
				sep = d.lang.List[1]
			}
			out = append(out, Piece{Text: sep})
		}
		p, ok := d.number(refs[i])
		if !ok {
			continue
		}
		out = append(out, Piece{Text: names[i] + " ("}, p, Piece{Text: ")"})
	}
	return out
}

// told adds sentences of the study as they are, in their order: the first few that are
// not too long to be said. A deeper level has those of the others too. The first of them
// has before in front of it.
func (d *draft) told(part, kind string, most deep, before string) {
	if !d.lang.TakesStudy {
		return
	}
	all := d.facts.told[kind]
	takes := make([]bool, len(all))
	n := 0
	for level := range d.depth + 1 {
		for i, l := range all {
			if n < most[level] && !takes[i] && d.lang.Spoken(Line{Pieces: l.pieces}.String()) <= longest[level] {
				takes[i] = true
				n++
			}
		}
	}
	for i, l := range all {
		if takes[i] {
			pieces := l.pieces
			if before != "" {
				pieces = slices.Clone(pieces)
				if len(pieces) > 0 && pieces[0].Ref == "" {
					pieces[0].Text = before + pieces[0].Text
				} else {
					pieces = slices.Insert(pieces, 0, Piece{Text: before})
				}
				before = ""
			}
			d.lines[part] = append(d.lines[part], Line{Key: l.key, Claim: "told", Pieces: pieces})
		}
	}
}

// next is what the tactics say to do next, and for whom: they speak of "you" and "them".
func (d *draft) next(s mark.Side) {
	d.told(PartTakeAway, toldNext, deepNext, plainly(fill(d.lang.Next, d.facts.slots(d.facts.who(s)), nil))+" ")
}
