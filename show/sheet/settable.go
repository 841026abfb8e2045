package sheet

import (
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

// settable returns the document as its pages can set it: a name with letters that the
// fonts lack becomes the side, other such letters are left out, and the document says so.
func (d *document) settable() *document {
	lost := false
	letters := func(s string) string {
		lack := draw.Lacks(s, draw.Serif)
		if len(lack) == 0 {
			return s
		}
		lost = true
		s = strings.Map(func(r rune) rune {
			for _, l := range lack {
				if l == r {
					return -1
				}
			}
			return r
		}, s)
		return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
	}
	set := func(l line) line {
		out := make(line, len(l))
		for i, s := range l {
			out[i] = s
			if len(draw.Lacks(s.Text, draw.Serif)) == 0 {
				continue
			}
			if side, is := d.sides[s.Text]; s.Name && is {
				out[i].Text, lost = plate.Name(side), true
			} else {
				out[i].Text = letters(s.Text)
			}
		}
		return out
	}
	out := d.each(set)
	out.Head.Kicker = letters(d.Head.Kicker)
	for i, f := range out.Head.Fencers {
		if len(draw.Lacks(f.Name, draw.Serif)) > 0 {
			lost = true
			out.Head.Fencers[i].Name, out.Head.Fencers[i].Role = plate.Name(f.Side), ""
		}
		out.Head.Fencers[i].Club = letters(f.Club)
	}
	lang, _ := languageOf(d.Lang)
	if strings.TrimSpace(out.Head.Title.String()) == "" {
		out.Head.Title = words(lang.Say["untitled"])
	}
	out.Title = out.Head.Title.String()
	if lost {
		for i, s := range out.Sections {
			if s.ID == "measured" {
				out.Sections[i].Blocks = append(append([]block{}, s.Blocks...), para{words(lang.Say["letters"]), paraFine})
			}
		}
	}
	return out
}

// each returns a document with every sentence changed by f.
func (d *document) each(f func(line) line) *document {
	out := *d
	out.Head.Title = f(d.Head.Title)
	out.Head.Fencers = append([]fencer{}, d.Head.Fencers...)
	out.Head.Notes = linesOf(d.Head.Notes, f)
	out.Sections = nil
	for _, s := range d.Sections {
		var all []block
		for _, b := range s.Blocks {
			all = append(all, blockEach(b, f))
		}
		s.Blocks = all
		out.Sections = append(out.Sections, s)
	}
	return &out
}

func linesOf(all []line, f func(line) line) []line {
	var out []line
	for _, l := range all {
		out = append(out, f(l))
	}
	return out
}

func blockEach(b block, f func(line) line) block {
	plain := func(s string) string { return f(words(s)).String() }
	switch b := b.(type) {
	case para:
		b.Text = f(b.Text)
		return b
	case list:
		b.Items = linesOf(b.Items, f)
		return b
	case keys:
		var out keys
		for _, k := range b {
			out = append(out, key{f(k.Number), f(k.Title), k.How})
		}
		return out
	case table:
		var rows [][]line
		for _, r := range b.Rows {
			rows = append(rows, linesOf(r, f))
		}
		b.Rows = rows
		return b
	case quiz:
		var all []question
		for _, q := range b.Ask {
			all = append(all, question{f(q.Question), f(q.Answer)})
		}
		b.Ask = all
		return b
	case drill:
		b.Title, b.For = plain(b.Title), f(b.For)
		var rows []drillRow
		for _, r := range b.Rows {
			rows = append(rows, drillRow{r.Label, f(r.Text)})
		}
		b.Rows = rows
		return b
	}
	return b
}

// sidesOf are the names of a sheet with the side that each is called on.
func (m *maker) sidesOf() map[string]mark.Side {
	all := map[string]mark.Side{}
	for _, s := range mark.Sides {
		all[m.call.Full(s)], all[m.call.Say(s)] = s, s
	}
	return all
}
