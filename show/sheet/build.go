package sheet

import (
	"fmt"
	"slices"
	"strings"

	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// document lays the sheet down. For the lesson, what gives nothing away comes first.
func (m *maker) document() *document {
	found := m.findings()
	d := &document{Lang: m.lang.Tag, Head: m.head(), Program: m.o.Program, sides: m.sidesOf()}
	d.Title = d.Head.Title.String()
	add := func(all ...*section) {
		for _, s := range all {
			if s != nil {
				d.Sections = append(d.Sections, *s)
			}
		}
	}
	told := []*section{m.finding()}
	for _, p := range m.script.Parts {
		told = append(told, m.part(p))
	}
	if m.o.Lesson {
		quiz := m.questions(found)
		add(m.watch(found), quiz)
		told[0].NewPage = true
		add(told...)
		add(m.drills(found), m.answersPage(quiz))
	} else {
		add(told...)
	}
	numbers := len(d.Sections)
	add(m.missing(), m.doubts(), m.measured(), m.rights())
	// The table has the numbers of all that stands before it.
	d.Sections = slices.Insert(d.Sections, numbers, *m.numbers())
	return d
}

func (m *maker) head() head {
	t := m.r.Touch
	h := head{Title: m.isolated(words(m.call.Title(m.r)))}
	kind := m.say("sheet")
	if m.o.Lesson {
		kind = m.say("lesson")
	}
	parts := []string{kind + " " + m.say("level/"+string(m.o.Level))}
	if m.o.Names != script.Anonymous {
		for _, p := range []string{t.Bout.Event, t.Bout.Round, t.Bout.Date} {
			if p = plate.Typeset(m.call.Hide(flat(p))); p != "" {
				parts = append(parts, p)
			}
		}
	}
	h.Kicker = strings.Join(parts, " · ")
	if h.Title.String() == "" {
		h.Title = words(m.say("untitled"))
	}
	for _, s := range mark.Sides {
		f := fencer{Side: s, Name: m.call.Full(s), Role: strings.ToLower(plate.Name(s))}
		if f.Name == plate.Name(s) {
			f.Role = ""
		}
		if m.o.Names == script.Named && f.Role != "" {
			f.Club = plate.Typeset(flat(t.Bout.Fencer(s).Club))
		}
		h.Fencers = append(h.Fencers, f)
	}
	if t.Number > 0 {
		l, _ := m.fill(m.say("standing"), nil, slots{"number": "touch/number", "before": "touch/before"})
		h.Standing = l.String()
	}
	h.Lamps = m.lamps(t.Lamps)
	if t.Invented {
		h.Notes = append(h.Notes, words(m.say("invented")))
	}
	if n := flat(t.Note); n != "" && m.o.Names != script.Anonymous {
		h.Notes = append(h.Notes, m.isolated(words(m.call.Hide(plate.Typeset(n)))))
	}
	return h
}

// lamps says what the apparatus showed: red is the left fencer's, green the right one's.
func (m *maker) lamps(l *bout.Lamps) []lamp {
	if l == nil {
		return nil
	}
	var all []lamp
	if l.Left {
		all = append(all, lamp{"red", m.say("lamp/red")})
	}
	if l.Right {
		all = append(all, lamp{"green", m.say("lamp/green")})
	}
	if len(all) == 0 {
		all = append(all, lamp{"none", m.say("lamp/none")})
	}
	return all
}

// flat makes one line of a text.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// finding is the touch in one sentence, with the number that carries it.
func (m *maker) finding() *section {
	s := &section{ID: "finding", Title: m.say("finding")}
	for _, key := range []string{"race", "short", "keep-answer", "gap/left", "gap/right", "payoff"} {
		l, ok := m.lineOf(key)
		if !ok {
			continue
		}
		said := m.spoken(l)
		if !said.numbered() {
			said = m.with(said, m.carrying(key))
		}
		fine := m.came()
		if came, ok := m.lineOf("race-came"); key == "race" && ok {
			// What everybody saw stands beside it, as large: alone it would be read as wrong.
			said = append(append(said, span{Text: " "}), m.spoken(came)...)
			fine = words(m.say("supposes"))
		}
		s.Blocks = append(s.Blocks, para{m.use(said), paraFinding})
		if key == "race" {
			s.Blocks = append(s.Blocks, para{fine, paraFine})
		}
		return s
	}
	s.Blocks = append(s.Blocks, para{words(m.say("no-finding")), paraFinding}, para{Text: words(m.say("take-measure"))})
	return s
}

// came says what a race supposes, and what the lamps showed: a blade that was met may have
// turned it round.
func (m *maker) came() line {
	l := words(m.say("supposes"))
	if lamps, ok := m.lineOf("lamps"); ok {
		l = append(l, span{Text: " " + m.say("came") + " "})
		l = append(l, m.spoken(lamps)...)
	}
	return l
}

// carrying is the number on which a line rests.
func (m *maker) carrying(key string) string {
	switch key {
	case "race":
		if claim, _ := m.claim(key); strings.HasSuffix(claim, "neither") {
			return "race/neither"
		}
		return "race/first/" + m.likelier().String()
	case "short", "keep-answer":
		if best, ok := m.surest(); ok && key == "keep-answer" {
			return "windows/in-time/" + string(best.Answer)
		}
		return "windows/arrives"
	case "gap/left", "gap/right":
		s := mark.Left
		if key == "gap/right" {
			s = mark.Right
		}
		if x := m.race(); x != nil {
			return fmt.Sprintf("gap/%s/%s", s, x.Runs[s].Target)
		}
	}
	return ""
}

// with sets a number behind a sentence that has none.
func (m *maker) with(l line, ref string) line {
	f, ok := m.facts[ref]
	if !ok || len(l) == 0 {
		return l
	}
	last := &l[len(l)-1]
	last.Text = strings.TrimSuffix(last.Text, ".")
	return append(l, span{Text: " ("}, span{Text: f.Text, Ref: ref}, span{Text: ")."})
}

// part is one part of the script with its plate and the numbers that carry it.
func (m *maker) part(p script.Part) *section {
	s := &section{ID: p.Kind, Title: m.lang.Parts[p.Kind]}
	for _, l := range p.Lines {
		s.Blocks = append(s.Blocks, para{Text: m.use(m.spoken(l))})
	}
	if k := m.keysOf(p.Kind); len(k) > 0 {
		s.Blocks = append(s.Blocks, k)
	}
	if f, ok := m.plateOf(p.Kind); ok {
		s.Blocks = append(s.Blocks, f)
	}
	return s
}

// mostKeys are how many numbers carry a part.
const mostKeys = 3

// keysOf are the numbers that carry a part, the same for every level.
func (m *maker) keysOf(part string) keys {
	var refs []string
	x := m.race()
	switch part {
	case script.PartTechnique:
		if x != nil {
			a := m.attacker()
			refs = append(refs, fmt.Sprintf("gap/%s/%s", a, x.Runs[a].Target))
			refs = append(refs, "parry/made", "parry/asked", m.lag(a), fmt.Sprintf("gap/%s/%s", a.Other(), x.Runs[a.Other()].Target))
		}
	case script.PartTactics:
		if y := m.r.Tactics; y != nil {
			for _, f := range []*finding{m.habit(), m.payoff()} {
				if f != nil {
					refs = append(refs, f.Nums["share"], f.Nums["share2"], f.Nums["worth"])
				}
			}
		}
	case script.PartTiming:
		if x != nil {
			refs = append(refs, "race/first/"+m.likelier().String(), "race/both")
		}
		refs = append(refs, "windows/ready", "windows/hit")
	case script.PartTakeAway:
		if best, ok := m.surest(); ok && m.answers() != nil {
			refs = append(refs, "windows/in-time/"+string(best.Answer))
		}
	}
	var all keys
	for _, ref := range refs {
		if f, ok := m.facts[ref]; ok && len(all) < mostKeys {
			l := m.use(line{{Text: f.Text, Ref: ref}})
			all = append(all, key{l, m.isolated(words(f.Title)), f.How})
		}
	}
	return all
}

// lag is the time between hand and foot of a fencer, by the one that starts first; empty
// where that cannot be told.
func (m *maker) lag(s mark.Side) string {
	switch claim, _ := m.claim("lag/" + s.String()); claim {
	case "hand":
		return "lag/hand-first/" + s.String()
	case "foot":
		return "lag/foot-first/" + s.String()
	}
	return ""
}

// platesOf are the kinds that show a part, the best first.
var platesOf = map[string][]report.Kind{
	script.PartOpening:   {report.KindStave, report.KindLadder, report.KindBout},
	script.PartTechnique: {report.KindFrame, report.KindGaps, report.KindSeen, report.KindParry, report.KindStand},
	script.PartTactics:   {report.KindThread, report.KindHabit, report.KindPayoff, report.KindBalance},
	script.PartTiming:    {report.KindRace, report.KindStarted, report.KindWindows},
	script.PartTakeAway:  {report.KindWindows, report.KindMap, report.KindBalance},
}

// plateOf is the key plate of a part: of its kinds the first, of these the one on the
// frame that is told, else the first. No plate stands twice.
func (m *maker) plateOf(part string) (figure, bool) {
	at := m.toldAt()
	for _, kind := range platesOf[part] {
		best := -1
		for i, p := range m.plates {
			if p.Kind != kind || m.shown[p.Name()] || p.Wide == nil {
				continue
			}
			if best < 0 || p.Take == at.Take && p.Frame == at.Frame {
				best = i
				if p.Take == at.Take && p.Frame == at.Frame {
					break
				}
			}
		}
		if best >= 0 {
			p := m.plates[best]
			m.shown[p.Name()] = true
			m.nth++
			what, ok := m.lang.Plates[string(kind)]
			if !ok {
				what = string(kind)
			}
			l, _ := m.fill(m.say("plate"), slots{"n": fmt.Sprint(m.nth), "what": what}, nil)
			return figure{p, l.String()}, true
		}
	}
	return figure{}, false
}

// toldAt is the frame that the sheet tells.
func (m *maker) toldAt() study.At {
	if t := m.r.Timing; t != nil {
		return t.At
	}
	if x := m.r.Race; x != nil {
		return study.At{Take: x.Take, Frame: x.Frame}
	}
	return study.At{}
}

func frameName(at study.At) string { return fmt.Sprintf("%s/%d", at.Take, at.Frame) }
