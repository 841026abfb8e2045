package sheet

import (
	"fmt"

	"mesure/quantity"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// finding is one thing that a class can work on. It is made of a claim of the script and
// is never stronger.
type finding struct {
	// Kind and Claim name its words: "parry" and "too-small".
	Kind, Claim string
	// Keys are the lines of the script that say it.
	Keys []string
	Who  mark.Side
	// At is the picture that shows it; empty for what earlier touches tell.
	At    study.At
	Words slots
	Nums  slots
}

func (f finding) name() string { return f.Kind + "/" + f.Claim }

// Doubles from this share of the runs on are a finding (assumed: one of four is what a
// coach begins to work against).
const manyDoubles = quantity.Chance(0.25)

// findings are what the touch teaches, at most two of the technique, two of the timing
// and one of the tactics: a lesson has no time for more.
func (m *maker) findings() []finding {
	var all []finding
	take := func(most int, some ...*finding) {
		for _, f := range some {
			if f != nil && most > 0 {
				all = append(all, *f)
				most--
			}
		}
	}
	x := m.race()
	if x == nil {
		take(1, m.habit(), m.payoff())
		return all
	}
	a := m.attacker()
	wrongFoot, rightHand := m.handFoot(a)
	wrongParry, goodParry, askedParry := m.parry()
	take(2, wrongParry, wrongFoot, goodParry, m.measure(a), m.commit(a), m.commit(a.Other()), rightHand, askedParry)
	take(2, m.answers(), m.short(), m.double(), m.launch(), m.from())
	take(1, m.payoff(), m.habit())
	return all
}

// attacker is whose attack is told: as the timing has it, else who more likely arrives
// first.
func (m *maker) attacker() mark.Side {
	if t := m.r.Timing; t != nil && (t.Windows != nil || t.Parry != nil) {
		return t.Attacker
	}
	if x := m.race(); x != nil && x.LeftFirst.Mean+x.Neither.Mean/2 < 0.5 {
		return mark.Right
	}
	return mark.Left
}

func (m *maker) of(who mark.Side, kind, claim string, keys ...string) *finding {
	f := &finding{Kind: kind, Claim: claim, Keys: keys, Who: who, Nums: slots{},
		Words: slots{"who": m.call.Say(who), "other": m.call.Say(who.Other()), "hedge": ""}}
	if x := m.race(); x != nil {
		f.At = study.At{Take: x.Take, Frame: x.Frame}
		f.Words["target"] = m.lang.Target(x.Runs[who].Target)
		a := m.attacker()
		f.Nums["gap"] = fmt.Sprintf("gap/%s/%s", a, x.Runs[a].Target)
	}
	if t := m.r.Timing; t != nil {
		f.At = t.At
	}
	return f
}

// hedged says whether a finding is only likely.
func (m *maker) hedged(f *finding) *finding {
	if _, likely := m.claim(f.Keys[0]); likely {
		f.Words["hedge"] = "most likely "
	}
	return f
}

// measure is how far the attacker's point is, where a movement reaches.
func (m *maker) measure(a mark.Side) *finding {
	key := "gap/" + a.String()
	band := m.band(a)
	if claim, _ := m.claim(key); claim == "" || claim == "unbanded" || band == "" {
		return nil
	}
	f := m.of(a, "measure", "reach", key)
	f.Words["band"] = m.lang.Band(band)
	if band == "out" {
		f.Claim = "out"
	}
	return f
}

// band is the measure of a fencer's gap in the race.
func (m *maker) band(s mark.Side) string {
	x := m.race()
	for _, in := range m.r.Instants {
		if in.Take != x.Take || in.Frame != x.Frame {
			continue
		}
		for _, g := range in.Gaps {
			if g.Of == s && g.Target == x.Runs[s].Target {
				return g.Band
			}
		}
	}
	return ""
}

// parry is one that was too small or too large, one that served, or what one would take.
func (m *maker) parry() (wrong, good, asked *finding) {
	if m.r.Timing == nil || m.r.Timing.Parry == nil {
		return nil, nil, nil
	}
	p := m.r.Timing.Parry
	claim, _ := m.claim("parry")
	if claim == "" || claim == "open" {
		return nil, nil, nil
	}
	f := m.of(p.Defender, "parry", "", "parry")
	f.Words["target"] = m.lang.Target(p.Zone)
	f.Nums["asked"], f.Nums["made"], f.Nums["needed"] = "parry/asked", "parry/made", "parry/needed"
	if p.Observed == nil {
		f.Kind, f.Claim = "parry-asked", "needed"
		return nil, nil, f
	}
	if p.Observed.From.Take != "" {
		f.At = p.Observed.From
	}
	switch f.Claim = string(p.Observed.Judged.Size); p.Observed.Judged.Size {
	case timing.SizeSmall, timing.SizeLarge:
		return f, nil, nil
	case timing.SizeEnough:
		f.Claim = "enough"
		return nil, f, nil
	}
	return nil, nil, nil
}

func (m *maker) handFoot(a mark.Side) (foot, hand *finding) {
	key := "lag/" + a.String()
	f := m.of(a, "hand-foot", "", key)
	f.Nums["hand"], f.Nums["foot"] = "lag/hand-first/"+a.String(), "lag/foot-first/"+a.String()
	f.Claim, _ = m.claim(key)
	switch f.Claim {
	case "foot":
		return f, nil
	case "hand":
		return nil, f
	}
	return nil, nil
}

// commit is a fencer who cannot go back for a known time.
func (m *maker) commit(s mark.Side) *finding {
	key := "commit/" + s.String()
	claim, _ := m.claim(key)
	if claim != "front-air" && claim != "no-back" {
		return nil
	}
	f := m.of(s, "commit", "timed", key)
	f.Nums["next"] = fmt.Sprintf("commit/%s/%s", s, timing.DoTurnBack)
	return f
}

// answers are those that were in time, or that none was.
func (m *maker) answers() *finding {
	t := m.r.Timing
	if t == nil || t.Windows == nil {
		return nil
	}
	d := t.Attacker.Other()
	if short, _ := m.claim("short"); short != "" {
		return nil // against an attack that falls short every answer is in time
	}
	switch claim, _ := m.claim("keep-answer"); claim {
	case "open", "won", "lost":
		best, _ := m.surest()
		f := m.of(d, "answers", "open", "windows-open", "windows-shut")
		if claim == "lost" {
			// There was time and it did not win: to practise the answer alone would repeat the touch.
			f.Claim = "beaten"
		}
		f.Words["answer"] = m.lang.Answer(best.Answer)
		f.Nums["chance"] = "windows/in-time/" + string(best.Answer)
		return f
	case "none", "none-known":
		return m.of(d, "answers", "none", "windows-shut")
	}
	return nil
}

// surest is the open answer that is in time most often. A double is no answer to practise
// while another one is open.
func (m *maker) surest() (best timing.Window, ok bool) {
	if m.r.Timing == nil || m.r.Timing.Windows == nil {
		return best, false
	}
	for _, w := range m.r.Timing.Windows.Each {
		if w.Answer == "" || !w.InTime.IsValid() || w.InTime.Lo < script.Likely {
			continue
		}
		if double := w.Answer == timing.ExtendDouble; !ok || !double && (best.Answer == timing.ExtendDouble || w.InTime.Mean > best.InTime.Mean) {
			best, ok = w, true
		}
	}
	return best, ok
}

func (m *maker) short() *finding {
	if claim, _ := m.claim("short"); claim == "" {
		return nil
	}
	f := m.of(m.r.Timing.Attacker, "short", "falls", "short")
	f.Nums["arrives"] = "windows/arrives"
	return f
}

func (m *maker) double() *finding {
	x := m.race()
	if !(x.Both.IsValid() && x.Both.Lo >= manyDoubles) {
		return nil
	}
	f := m.of(m.attacker(), "double", "both", "lights")
	f.Nums["both"], f.Nums["window"] = "race/both", "race/window"
	return f
}

func (m *maker) launch() *finding {
	t := m.r.Timing
	claim, _ := m.claim("launch")
	if t == nil || t.Started == nil || t.Started.Launch == nil || claim != "clear" && claim != "likely" {
		return nil
	}
	l := t.Started.Launch
	f := m.hedged(m.of(l.Who, "launch", "into", "launch"))
	f.At = study.At{Take: l.Take, Frame: l.By}
	f.Words["into"], f.Words["gives"] = m.lang.Into(l.Into), m.lang.Gives(l.Into)
	f.Nums["chance"] = "launch/chance"
	return f
}

// from is the race itself: whoever arrives first, or that it cannot be told.
func (m *maker) from() *finding {
	who := m.likelier()
	f := m.of(who, "race", "from-here", "race", "race-came")
	f.Nums["first"] = "race/first/" + who.String()
	return f
}

// likelier is who arrives first more often.
func (m *maker) likelier() mark.Side {
	if x := m.race(); 1-x.LeftFirst.Mean-x.Neither.Mean > x.LeftFirst.Mean {
		return mark.Right
	}
	return mark.Left
}

func (m *maker) habit() *finding {
	x := m.r.Tactics
	if x == nil {
		return nil
	}
	s := x.For.Other()
	h := x.Habits[s]
	claim, _ := m.claim("habit/" + s.String())
	if h == nil || claim != "clear" && claim != "open" || claim == "open" && len(h.Choices) < 2 {
		return nil
	}
	f := m.of(s, "habit", claim, "habit/"+s.String(), "change/"+s.String())
	f.At = study.At{}
	share := fmt.Sprintf("habit/%s/share/", s)
	f.Words["choice"], f.Nums["share"] = m.choice(h.Choices[0].Kind), share+h.Choices[0].Kind
	if len(h.Choices) > 1 {
		f.Words["second"], f.Nums["share2"] = m.choice(h.Choices[1].Kind), share+h.Choices[1].Kind
	}
	return f
}

func (m *maker) payoff() *finding {
	x := m.r.Tactics
	if claim, _ := m.claim("payoff"); x == nil || x.Payoff == nil || claim != "clear" {
		return nil
	}
	best := x.Payoff.Mine[x.Payoff.Reply.Choice]
	f := m.of(x.For, "payoff", "clear", "payoff")
	f.At = study.At{}
	f.Words["choice"], f.Nums["worth"] = m.choice(best), "worth/"+best
	return f
}

// choice is the word for a choice; a coach's own may have a name in it.
func (m *maker) choice(kind string) string { return m.call.Hide(m.lang.Choice(kind)) }
