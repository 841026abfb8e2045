package report

import (
	"fmt"
	"html/template"
	"strings"

	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/study"
)

// tacticsSection is what the bout makes of the touch.
type tacticsSection struct {
	// Where says before which touch, at which score, for whom.
	Where string
	Story []template.HTML
	Next  []template.HTML
	// The pictures, each with its finding as its title.
	ThreadPic, PayoffPic, BoutPic template.HTML
	HabitPics, BalancePics        []template.HTML
	// Sources are those that the sentences name, in the order of their numbers.
	Sources []sourceLine
	// Unknown says what cannot be told, each with what would mend it; Doubts are those
	// of the sheet.
	Unknown, Doubts []warningLine
	Fine            string
}

// sourceLine is a note at the foot of the section.
type sourceLine struct {
	N                      int
	Title, How, From, More string
}

// footnotes numbers sources in the order in which sentences name them.
type footnotes struct {
	x    *study.Tactics
	say  func(string) string
	hide bool
	at   map[string]int
	all  []sourceLine
}

// tacticsSectionOf makes the section; nil where the reading has no tactics.
func tacticsSectionOf(r *study.Reading, plates []Plate, names plate.Naming) (*tacticsSection, error) {
	x := r.Tactics
	if x == nil {
		return nil, nil
	}
	say := plate.Typeset
	called := heard(names, x.Names)
	name, hide := plate.Typeset(called.Say[x.For]), names.Hides()
	if hide {
		say = func(s string) string { return plate.Typeset(called.Rename(s)) }
	}
	v := &tacticsSection{Where: fmt.Sprintf("Before touch %d, at %d–%d, as %s’s coach sees it", x.At, x.Score.Left, x.Score.Right, name)}
	notes := &footnotes{x: x, say: say, hide: hide, at: map[string]int{}}
	for _, s := range x.Story {
		v.Story = append(v.Story, notes.sentence(s))
	}
	for _, s := range x.Next {
		v.Next = append(v.Next, notes.sentence(s))
	}
	v.Sources = notes.all
	for _, l := range summary.TacticsOf(x).Lacks {
		v.Unknown = append(v.Unknown, warningLine{capital(tacticsLackWords(l)), sentenceOf(say(l.Why)) + " " + sentenceOf(say(l.Mend))})
	}
	for _, w := range x.Doubts {
		v.Doubts = append(v.Doubts, warningLine{capital(w.About), sentenceOf(say(w.Text))})
	}
	v.Fine = plate.Sentences(fmt.Sprintf("%s draws, seed %d", plate.Count(x.Draws), x.Seed))
	for _, p := range plates {
		if p.tactics == nil || p.Wide == nil {
			continue
		}
		pic, err := pictures(p)
		if err != nil {
			return nil, err
		}
		switch p.Kind {
		case KindThread:
			v.ThreadPic = pic
		case KindHabit:
			v.HabitPics = append(v.HabitPics, pic)
		case KindBalance:
			v.BalancePics = append(v.BalancePics, pic)
		case KindPayoff:
			v.PayoffPic = pic
		case KindBout:
			v.BoutPic = pic
		}
	}
	return v, nil
}

// tacticsLackWords says which part is missing, and of whom.
func tacticsLackWords(l summary.Lack) string {
	part := map[string]string{study.PartThread: "the thread", study.PartHabit: "the habit", study.PartPayoff: "what the choices are worth", study.PartBout: "the bout"}[l.Part]
	if part == "" {
		part = "the " + l.Part
	}
	if l.Who == "both" {
		return part
	}
	return part + ", " + l.Who
}

// sentence sets a sentence; after a number that comes from somewhere stands the number
// of its note, after the last one where several of a sentence come from the same.
func (f *footnotes) sentence(s study.Sentence) template.HTML {
	last := map[string]int{}
	for i, p := range s {
		last[p.From] = i
	}
	var b strings.Builder
	for i, p := range s {
		text := template.HTMLEscapeString(f.say(p.Text))
		if p.From == "" {
			b.WriteString(text)
			continue
		}
		n := f.number(p.From)
		if n == 0 || last[p.From] != i {
			b.WriteString(text)
			continue
		}
		fmt.Fprintf(&b, `<span class="num">%s<sup><a href="#source-%d" aria-label="where this comes from, note %d">%d</a></sup></span>`, text, n, n, n)
	}
	return template.HTML(b.String())
}

// number is that of the note of a source; 0 where it is none of the tactics'.
func (f *footnotes) number(id string) int {
	if n, ok := f.at[id]; ok {
		return n
	}
	for _, s := range f.x.Sources {
		if s.ID == id {
			n := len(f.all) + 1
			f.at[id] = n
			f.all = append(f.all, f.line(n, s))
			return n
		}
	}
	f.at[id] = 0
	return 0
}

// line says one source in words.
func (f *footnotes) line(n int, s study.Source) sourceLine {
	out := sourceLine{N: n, Title: sentenceOf(f.say(s.Title)), How: sentenceOf(f.say(s.How))}
	var from []string
	if k := len(s.Touches); k > 0 {
		word := "touch "
		if k > 1 {
			word = "touches "
		}
		from = append(from, word+runs(s.Touches))
	}
	for _, b := range s.Bouts {
		words := fmt.Sprintf("%d in an earlier bout", b.Count)
		if b.With != "" && !f.hide {
			words += " with " + plate.Typeset(b.With)
		}
		if b.Day != "" {
			words += " of " + b.Day
		}
		from = append(from, words)
	}
	out.From = plate.Sentences(strings.Join(from, "; "))
	var more []string
	if s.Prior != "" {
		more = append(more, "assumed before: "+strings.TrimSuffix(f.say(s.Prior), "."))
	}
	if s.Method != "" {
		more = append(more, "methods, “"+plate.Typeset(s.Method)+"”")
	}
	out.More = plate.Sentences(more...)
	return out
}

// runs lists numbers, those that follow each other from the first to the last.
func runs(all []int) string {
	var parts []string
	for i := 0; i < len(all); {
		j := i
		for j+1 < len(all) && all[j+1] == all[j]+1 {
			j++
		}
		switch {
		case j-i > 1:
			parts = append(parts, fmt.Sprintf("%d–%d", all[i], all[j]))
		case j > i:
			parts = append(parts, fmt.Sprint(all[i]), fmt.Sprint(all[j]))
		default:
			parts = append(parts, fmt.Sprint(all[i]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
