package sheet

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// maker makes the document of one sheet.
type maker struct {
	r      *study.Reading
	o      Options
	lang   *language
	call   script.Called
	facts  map[string]script.Fact
	script *script.Script
	stale  []script.Stale
	// drafts are what may be said, for this level and the deeper ones; full is the deepest:
	// findings come from its claims.
	drafts []*script.Script
	full   *script.Script
	plates []report.Plate
	shown  map[string]bool // plates that stand in the sheet, by name
	nth    int             // plates so far
	used   []string        // facts that the sheet refers to, in order
}

func newMaker(r *study.Reading, s *script.Script, plates []report.Plate, o Options) (*maker, error) {
	m := &maker{r: r, plates: plates, shown: map[string]bool{}, facts: map[string]script.Fact{}}
	so := script.Options{}
	if s != nil {
		so = s.Options
	}
	if o.Level != "" {
		so.Level = o.Level
	}
	if o.Names != "" {
		so.Names = o.Names
	}
	var err error
	if s == nil {
		m.script, err = script.Draft(r, so)
	} else {
		mine := *s
		mine.Options = so
		m.script, m.stale, err = script.Refresh(&mine, r)
	}
	if err != nil {
		return nil, err
	}
	so = m.script.Options
	for _, l := range levels[slices.Index(levels, so.Level):] {
		deeper := so
		deeper.Level = l
		if m.full, err = script.Draft(r, deeper); err != nil {
			return nil, err
		}
		m.drafts = append(m.drafts, m.full)
	}
	o.Level, o.Names = so.Level, so.Names
	lang, ok := languageOf(so.Language)
	if !ok {
		return nil, &script.Refusal{At: "language", What: "there are no words of a sheet in it", Mend: `Write "en".`}
	}
	m.o, m.lang, m.call = o, lang, script.CalledIn(r, so.Names)
	all, err := script.Facts(r, so)
	if err != nil {
		return nil, err
	}
	for _, f := range all {
		m.facts[f.Ref] = f
	}
	m.own()
	return m, nil
}

// own adds the numbers that a sheet prints and a script does not say: when a frame is,
// and when an attack can be seen.
func (m *maker) own() {
	add := func(ref, text, title, how string) {
		m.facts[ref] = script.Fact{Ref: ref, Text: text, Title: title, How: how}
	}
	for _, in := range m.r.Instants {
		add(whenRef(study.At{Take: in.Take, Frame: in.Frame}), plate.Seconds(in.At), "", "")
	}
	if x := m.r.Timing; x != nil && x.Windows != nil {
		if at := x.Windows.Cue.At; at.IsValid() && at.SD > 0 {
			add("windows/seen", plate.Milliseconds(at), m.say("fact/seen"), m.say("fact/seen/how"))
		}
	}
}

// text fills words into a text of the language.
type slots map[string]string

// say is a text of the language that has no number.
func (m *maker) say(key string) string {
	s, ok := m.lang.Say[key]
	if !ok {
		panic("sheet: no words for " + key)
	}
	return s
}

// fill sets words, and numbers by their facts, into a text. The second result is false
// where a number is not there: then the text must not be said.
func (m *maker) fill(text string, w slots, nums slots) (line, bool) {
	var out line
	whole := true
	for {
		i := strings.IndexByte(text, '{')
		j := strings.IndexByte(text, '}')
		if i < 0 || j < i {
			break
		}
		name := text[i+1 : j]
		out = append(out, span{Text: text[:i]})
		text = text[j+1:]
		if ref, is := nums[name]; is {
			f, there := m.facts[ref]
			whole = whole && there
			out = append(out, span{Text: f.Text, Ref: ref})
			continue
		}
		v, is := w[name]
		whole = whole && is
		out = append(out, span{Text: v})
	}
	return capitalised(m.isolated(append(out, span{Text: text}))), whole
}

// line is a text of the language that has to be whole.
func (m *maker) line(key string, w slots) line {
	l, ok := m.fill(m.say(key), w, nil)
	if !ok {
		panic("sheet: a slot of " + key + " is empty")
	}
	return l
}

// use notes the facts of a line, so that the table of numbers has them: what was measured
// or counted as a share, and not the number of a touch or a score.
func (m *maker) use(l line) line {
	for _, s := range l {
		if s.Ref != "" && !slices.Contains(m.used, s.Ref) && m.facts[s.Ref].Title != "" && strings.ContainsAny(m.facts[s.Ref].Text, "±%°") {
			m.used = append(m.used, s.Ref)
		}
	}
	return l
}

// isolated makes spans of their own of the names in a line: a name may be written from
// right to left, and must not turn what stands around it.
func (m *maker) isolated(l line) line {
	var names []string
	for _, s := range mark.Sides {
		for _, n := range []string{m.call.Full(s), m.call.Say(s)} {
			if n != plate.Name(s) && n != "" && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	slices.SortStableFunc(names, func(a, b string) int { return len(b) - len(a) })
	var out line
	for _, s := range l {
		if s.Ref != "" || s.Name {
			out = append(out, s)
			continue
		}
		for s.Text != "" {
			at, n := -1, ""
			for _, name := range names {
				if i := indexWord(s.Text, name); i >= 0 && (at < 0 || i < at) {
					at, n = i, name
				}
			}
			if at < 0 {
				out = append(out, s)
				break
			}
			if at > 0 {
				out = append(out, span{Text: s.Text[:at], Bold: s.Bold})
			}
			out = append(out, span{Text: n, Name: true, Bold: s.Bold})
			s.Text = s.Text[at+len(n):]
		}
	}
	return out
}

// indexWord is where a word begins that no letter stands before or after.
func indexWord(s, word string) int {
	for from := 0; ; {
		i := strings.Index(s[from:], word)
		if i < 0 {
			return -1
		}
		i += from
		before, _ := utf8.DecodeLastRuneInString(s[:i])
		after, _ := utf8.DecodeRuneInString(s[i+len(word):])
		if !unicode.IsLetter(before) && !unicode.IsLetter(after) {
			return i
		}
		from = i + len(word)
	}
}

// capitalised begins a sentence; names stay as they are.
func capitalised(l line) line {
	for i := range l {
		if l[i].Text == "" {
			continue
		}
		if !l[i].Name && l[i].Ref == "" {
			r, n := utf8.DecodeRuneInString(l[i].Text)
			l[i].Text = string(unicode.ToUpper(r)) + l[i].Text[n:]
		}
		break
	}
	return l
}

// spoken is a line of the script as the sheet sets it.
func (m *maker) spoken(l script.Line) line {
	var out line
	for _, p := range l.Pieces {
		s := span{Text: p.Text, Ref: p.Ref}
		if p.Ref == "" && l.Edited {
			s.Text = m.call.Hide(p.Text) // the coach may have written a name
		}
		out = append(out, s)
	}
	return m.isolated(out)
}

// lineOf finds a line by its key: as the coach has it, else as it can be said, with the
// least depth.
func (m *maker) lineOf(key string) (script.Line, bool) {
	for _, s := range append([]*script.Script{m.script}, m.drafts...) {
		for _, p := range s.Parts {
			for _, l := range p.Lines {
				if l.Key == key {
					return l, true
				}
			}
		}
	}
	return script.Line{}, false
}

// claim is what the measurement says of a key, without its hedge, and whether it is only
// likely. It is empty where nothing is said.
func (m *maker) claim(key string) (claim string, likely bool) {
	for _, p := range m.full.Parts {
		for _, l := range p.Lines {
			if l.Key == key {
				claim, hedged := strings.CutSuffix(l.Claim, ", likely")
				return claim, hedged || claim == "likely"
			}
		}
	}
	return "", false
}

func whenRef(at study.At) string { return "at/" + frameName(at) }

func (m *maker) race() *study.Race {
	if x := m.r.Timing; x != nil && x.Race != nil {
		return x.Race
	}
	return m.r.Race
}
