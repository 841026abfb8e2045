package sheet

import (
	"fmt"
	"slices"

	"mesure/show/script"
	"mesure/study"
)

// watch says for each finding where to look, and when; it gives nothing away.
func (m *maker) watch(found []finding) *section {
	s := &section{ID: "watch", Title: m.say("watch"), Blocks: []block{para{Text: words(m.say("watch/lead"))}}}
	var looks list
	var at study.At
	flush := func() {
		if len(looks.Items) > 0 {
			s.Blocks = append(s.Blocks, para{m.where(at), "lead"}, looks)
		}
		looks = list{}
	}
	for _, f := range found {
		text := m.lang.Watch[f.Kind].of(m.o.Level)
		l, ok := m.fill(text, f.Words, f.Nums)
		if text == "" || !ok {
			continue
		}
		if f.At != at {
			flush()
			at = f.At
		}
		looks.Items = append(looks.Items, l)
	}
	flush()
	if len(s.Blocks) == 1 {
		return nil
	}
	return s
}

// where says which picture shows a finding.
func (m *maker) where(at study.At) line {
	var l line
	ok := false
	if at.Take != "" {
		l, ok = m.fill(m.say("where"), slots{"take": at.Take, "frame": fmt.Sprint(at.Frame)}, slots{"when": whenRef(at)})
		if !ok {
			l, ok = m.fill(m.say("where/untimed"), slots{"take": at.Take, "frame": fmt.Sprint(at.Frame)}, nil)
		}
	} else {
		l, ok = words(m.say("where/bout")), true
	}
	if !ok {
		return nil
	}
	for i := range l {
		l[i].Bold = true
	}
	return l
}

// mostQuestions a class is asked before the answers.
const mostQuestions = 3

// questions asks about the technique, the timing and the tactics, then about what else
// was found. The answers are what the script says.
func (m *maker) questions(found []finding) *section {
	var asked []finding
	part := func(kinds ...string) {
		for _, f := range found {
			for _, k := range kinds {
				if f.Kind == k {
					asked = append(asked, f)
					return
				}
			}
		}
	}
	part("parry", "hand-foot", "measure", "commit", "parry-asked")
	part("answers", "short", "double", "launch", "race")
	part("payoff", "habit")
	for _, f := range found {
		has := false
		for _, a := range asked {
			has = has || a.name() == f.name()
		}
		if !has {
			asked = append(asked, f)
		}
	}
	// The race can be asked of every touch that has one.
	if m.race() != nil {
		if f := m.from(); f != nil {
			asked = append(asked, *f)
		}
		if f := m.measure(m.attacker()); f != nil {
			asked = append(asked, *f)
		}
	}
	q := quiz{Show: m.say("answer"), Under: words(m.say("ask/under"))}
	seen := map[string]bool{}
	for _, f := range asked {
		ask, ok := m.fill(m.lang.Questions[f.Kind].of(m.o.Level), f.Words, f.Nums)
		answer := m.said(f)
		if !ok || len(ask) == 0 || len(answer) == 0 || seen[f.Kind] || len(q.Ask) == mostQuestions {
			continue
		}
		seen[f.Kind] = true
		q.Ask = append(q.Ask, question{ask, answer})
	}
	if len(q.Ask) == 0 {
		return nil
	}
	title := m.say("ask")
	if len(q.Ask) < mostQuestions {
		title = m.say("ask/few")
	}
	return &section{ID: "questions", Title: title, Blocks: []block{para{Text: words(m.say("ask/lead"))}, q}}
}

// said is what the script says of a finding, with a number.
func (m *maker) said(f finding) line {
	var out line
	for i, key := range f.Keys {
		if l, ok := m.lineOf(key); ok && (i == 0 || m.has(key)) {
			if len(out) > 0 {
				out = append(out, span{Text: " "})
			}
			s := m.spoken(l)
			if !s.numbered() {
				s = m.with(s, m.numberOf(f, key))
			}
			out = append(out, s...)
		}
	}
	return m.use(out)
}

// has says whether the script of this sheet has a line.
func (m *maker) has(key string) bool {
	return slices.ContainsFunc(m.script.Parts, func(p script.Part) bool {
		return slices.ContainsFunc(p.Lines, func(l script.Line) bool { return l.Key == key })
	})
}

// numberOf is the number that carries a finding, where its sentence has none.
func (m *maker) numberOf(f finding, key string) string {
	for _, slot := range []string{"made", "foot", "hand", "next", "chance", "both", "first", "share", "worth", "arrives", "needed"} {
		ref := f.Nums[slot]
		if fact, ok := m.facts[ref]; ok && fact.Text != "" && key == f.Keys[0] && !(slot == "foot" && f.Claim == "hand") {
			return ref
		}
	}
	return ""
}

// answersPage repeats the questions with their answers, for paper: the screen has them
// behind a fold.
func (m *maker) answersPage(q *section) *section {
	if q == nil {
		return nil
	}
	var all []line
	for _, b := range q.Blocks {
		if z, ok := b.(quiz); ok {
			for _, x := range z.Ask {
				l := line{}
				for _, s := range x.Question {
					s.Bold = true
					l = append(l, s)
				}
				all = append(all, append(append(l, span{Text: " "}), x.Answer...))
			}
		}
	}
	return &section{ID: "answers", Title: m.say("answers"), Only: "paper", Blocks: []block{list{Ordered: true, Items: all}}}
}

// drills has one for each finding, with the cautions before them.
func (m *maker) drills(found []finding) *section {
	s := &section{ID: "drills", Title: m.say("drills"), NewPage: true}
	for _, f := range found {
		w, ok := m.lang.Drills[f.name()]
		if !ok {
			continue
		}
		if d, ok := m.drill(f, w); ok {
			d.Number = len(s.Blocks) + 1
			s.Blocks = append(s.Blocks, d)
		}
	}
	if len(s.Blocks) == 0 {
		return &section{ID: "drills", Title: m.say("drills"), Blocks: []block{para{Text: words(m.say("drills/none"))}}}
	}
	var care list
	for _, c := range append(append([]string{}, m.lang.Cautions[:cautionsFirst]...), m.lang.Blades...) {
		care.Items = append(care.Items, words(c))
	}
	s.Blocks = append([]block{para{Text: words(m.say("drills/lead"))}, para{line{{Text: m.say("before"), Bold: true}}, "lead"}, care}, s.Blocks...)
	return s
}

// cautionsFirst are those that must be read before anyone moves.
const cautionsFirst = 5

// drill fills one exercise. It is not made where one of its numbers is missing.
func (m *maker) drill(f finding, w drillWords) (drill, bool) {
	l := m.o.Level
	whole := true
	text := func(t string) line {
		out, ok := m.fill(t, f.Words, f.Nums)
		whole = whole && ok
		return m.use(out)
	}
	d := drill{Title: text(w.Title).String(), Form: w.Form.of(l), For: m.said(f)}
	row := func(label string, t line) {
		if len(t) > 0 {
			d.Rows = append(d.Rows, drillRow{m.say("drill/" + label), t})
		}
	}
	row("set-up", text(w.SetUp.of(l)))
	row("distance", m.distance(f))
	row("cue", m.cue(f, w.Cue.of(l)))
	row("action", text(w.Action.of(l)))
	row("success", text(w.Success.of(l)))
	row("progress", text(w.Progress.of(l)))
	row("repeats", text(w.Repeats.of(l)))
	return d, whole && len(d.For) > 0
}

// distance is where the attacker's point stood: measured, and what it asks for.
func (m *maker) distance(f finding) line {
	x := m.race()
	if x == nil {
		return words(m.say("distance/unknown"))
	}
	a := m.attacker()
	claim, _ := m.claim("gap/" + a.String())
	key := "distance/none"
	if band := m.band(a); band != "" && (claim == "clear" || claim == "likely") {
		key = "distance/" + claim
	}
	l, ok := m.fill(m.say(key), slots{"target": m.lang.Target(x.Runs[a].Target), "band": m.lang.Band(m.band(a))}, f.Nums)
	if !ok {
		return words(m.say("distance/unknown"))
	}
	return m.use(l)
}

// cue is what the drill waits for: its own cue, and for an answer to an attack when this
// one could be seen and answered.
func (m *maker) cue(f finding, own string) line {
	var l line
	switch {
	case f.Kind == "launch":
		return m.use(words(f.Words["gives"]))
	case own != "":
		l, _ = m.fill(own, f.Words, f.Nums)
		return m.use(l)
	}
	l, ok := m.fill(m.say("cue/read"), nil, slots{"seen": "windows/seen", "ready": "windows/ready"})
	if !ok {
		return words(m.say("cue/unknown"))
	}
	return m.use(l)
}

// numbers is the table of all that the sheet refers to.
func (m *maker) numbers() *section {
	s := &section{ID: "numbers", Title: m.say("numbers")}
	t := table{Caption: m.say("numbers/caption"), Head: []string{m.say("what"), m.say("number"), m.say("how")}, Shares: []float64{0.42, 0.2, 0.38}, Right: []bool{false, true, false}}
	// Numbers of one kind share a row, each once.
	rows := map[string]int{}
	for _, ref := range m.used {
		f := m.facts[ref]
		number := span{Text: f.Text, Ref: ref}
		i, ok := rows[f.Title+"\x00"+f.How]
		if !ok {
			rows[f.Title+"\x00"+f.How] = len(t.Rows)
			t.Rows = append(t.Rows, []line{m.isolated(words(f.Title)), {number}, m.isolated(words(f.How))})
			continue
		}
		if at := &t.Rows[i][1]; !slices.ContainsFunc(*at, func(s span) bool { return s.Text == number.Text }) {
			*at = append(*at, span{Text: "; "}, number)
		}
	}
	if len(t.Rows) == 0 {
		s.Blocks = []block{para{Text: words(m.say("numbers/none"))}}
		return s
	}
	s.Blocks = []block{t, para{words(m.say("doubt")), paraFine}}
	return s
}

// kept says what of the coach's script no longer agrees with the measurement.
func (m *maker) kept() []line {
	var all []line
	for _, x := range m.stale {
		key := map[string]string{script.StaleNumber: "kept", script.StaleGone: "kept/gone", script.StaleClaim: "kept/claim"}[x.Why]
		l := m.line(key, slots{"was": m.call.Hide(x.Was), "now": m.call.Hide(x.Now)})
		all = append(all, l)
	}
	return all
}
