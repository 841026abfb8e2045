package sheet

import (
	"fmt"
	"strings"

	"mesure/show/plate"
	"mesure/study"
)

// missing says what the sheet cannot tell, and what would mend it.
func (m *maker) missing() *section {
	var l list
	add := func(text string) { l.Items = append(l.Items, m.isolated(words(text))) }
	lacks := func(all []study.Lack) {
		for _, x := range all {
			if s := m.sentences(x.Why, x.Mend); s != "" {
				add(s)
			}
		}
	}
	t, x := m.r.Timing, m.r.Tactics
	if m.race() == nil {
		add(m.say("missing/race"))
	}
	switch {
	case t == nil:
		add(m.say("missing/timing"))
	case t.Windows == nil && len(t.Lacks) == 0:
		add(m.say("missing/windows"))
	}
	if t != nil {
		lacks(t.Lacks)
	}
	if x == nil {
		add(m.say("missing/tactics"))
	} else {
		lacks(x.Lacks)
	}
	if m.nth == 0 {
		add(m.say("missing/plates"))
	}
	if len(l.Items) == 0 {
		return nil
	}
	return &section{ID: "missing", Title: m.say("missing"), Blocks: []block{unique(l)}}
}

// sentences sets words of the study as sentences, without names where none are told.
func (m *maker) sentences(parts ...string) string {
	for i, p := range parts {
		parts[i] = strings.TrimRight(plate.Typeset(m.call.Hide(flat(p))), ". ")
	}
	return plate.Sentences(parts...)
}

// mostDoubts stand on a sheet; the report has them all.
const mostDoubts = 8

// doubts are the warnings of the reading, each once, in its order, after what the script
// keeps against the measurement.
func (m *maker) doubts() *section {
	l := list{Items: m.kept()}
	all := append([]study.Warning{}, m.r.Warnings...)
	for _, pf := range m.r.Placings {
		all = append(all, pf.Warnings...)
	}
	if m.r.Tactics != nil {
		all = append(all, m.r.Tactics.Doubts...)
	}
	for _, w := range all {
		text := m.sentences(w.About, w.Text)
		if text != "" {
			l.Items = append(l.Items, m.isolated(words(text)))
		}
	}
	l = unique(l)
	if len(l.Items) == 0 {
		return nil
	}
	if more := len(l.Items) - mostDoubts; more > 0 {
		l.Items = append(l.Items[:mostDoubts], m.line("doubts/more", slots{"n": fmt.Sprint(more)}))
	}
	return &section{ID: "doubts", Title: m.say("doubts"), Blocks: []block{l}}
}

// unique leaves out what a list says again.
func unique(l list) list {
	seen := map[string]bool{}
	out := list{Ordered: l.Ordered}
	for _, x := range l.Items {
		if s := x.String(); !seen[s] {
			seen[s], out.Items = true, append(out.Items, x)
		}
	}
	return out
}

func (m *maker) measured() *section {
	return &section{ID: "measured", Title: m.say("measured"), Blocks: []block{
		para{Text: m.line("measured/text", slots{"draws": plate.Count(m.r.Draws)})},
		para{Text: m.line("measured/made", slots{"seed": fmt.Sprint(m.r.Seed), "version": m.r.Version, "inputs": shortened(m.r.Inputs)}), Class: paraFine},
	}}
}

// shortened is the beginning of a hash: enough to find the reading again.
func shortened(hash string) string {
	const most = 16
	if len(hash) > most {
		return strings.ToLower(hash[:most])
	}
	return hash
}

// rights are the cautions and rights that every sheet ends with.
func (m *maker) rights() *section {
	var l list
	for _, c := range append(append([]string{}, m.lang.Cautions...), m.lang.Rights...) {
		l.Items = append(l.Items, words(c))
	}
	return &section{ID: "cautions", Title: m.say("cautions"), Blocks: []block{l}}
}
