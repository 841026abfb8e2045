package script

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// Fact is one number of a reading as a script prints it.
type Fact struct {
	// Ref is what pieces call it. It names the thing, not its place in a list, so that a
	// number does not slip under other words when more is measured.
	Ref string `json:"ref"`
	// Text is the number as printed, with ± and unit.
	Text string `json:"text"`
	// Title is what the number is, How how it was computed or where it is from.
	Title string `json:"title"`
	How   string `json:"how,omitempty"`
}

// facts are those of one reading.
type facts struct {
	all  map[string]Fact
	call calling
	lang *Language
	// told are the sentences that the study wrote, cut into pieces, by what they are from.
	told map[string][]toldLine
}

// Facts lists every number of a reading that a script may say, by Ref in order. It
// returns a *Refusal for options that are none.
func Facts(r *study.Reading, o Options) ([]Fact, error) {
	if r == nil || r.Touch == nil {
		return nil, errNothing
	}
	o, lang, err := o.whole()
	if err != nil {
		return nil, err
	}
	return factsOf(r, callingOf(r, o.Names), lang).sorted(), nil
}

func (f *facts) sorted() []Fact {
	all := make([]Fact, 0, len(f.all))
	for _, x := range f.all {
		all = append(all, x)
	}
	slices.SortFunc(all, func(a, b Fact) int { return cmp.Compare(a.Ref, b.Ref) })
	return all
}

// used are the facts that a script refers to.
func (f *facts) used(s *Script) []Fact {
	refs := map[string]bool{}
	for _, p := range s.Parts {
		for _, l := range p.Lines {
			for _, x := range l.Pieces {
				refs[x.Ref] = true
			}
		}
	}
	return slices.DeleteFunc(f.sorted(), func(x Fact) bool { return !refs[x.Ref] })
}

// add keeps a number; key names its title in the language, with the words for its slots.
func (f *facts) add(ref, text, key string, w words) {
	t, ok := f.lang.Titles[key]
	if !ok {
		panic("script: no title " + key)
	}
	f.all[ref] = Fact{Ref: ref, Text: text, Title: plainly(fill(t.Title, f.slots(w), nil)), How: t.How}
}

func (f *facts) slots(w words) map[string][]Piece {
	out := map[string][]Piece{}
	for k, v := range w {
		out[k] = []Piece{{Text: v}}
	}
	return out
}

func plainly(ps []Piece) string { return Line{Pieces: ps}.String() }

// chanceOf prints a chance. One that came out alike in every draw is no certainty: more
// draws, or what was not thought of, may have it otherwise. It is never 0 or 100 %.
func chanceOf(q quantity.Of[quantity.Chance]) string {
	if q.IsValid() && q.SD == 0 {
		return odds(q.Mean)
	}
	return plate.Percent(q)
}

// odds is chance for one without an interval of its own.
func odds(c quantity.Chance) string {
	const least = quantity.Chance(1e-9) // any that is not 0 prints as less than 1 %
	return plate.Chance(min(max(c, least), 1-least))
}

// share prints a share in the house's form: "62 % [38, 82]".
func share(q quantity.Of[quantity.Chance]) string {
	if !q.IsValid() || q.SD == 0 {
		return chanceOf(q)
	}
	v := odds(q.Mean)
	const roundOff = 1e-9
	lo, hi := max(float64(q.Lo), 0), min(float64(q.Hi), 1) // a normal law may go beyond
	return fmt.Sprintf("%s [%.0f,\u00a0%.0f]", v, math.Floor(100*lo+roundOff), math.Ceil(100*hi-roundOff))
}

func factsOf(r *study.Reading, c calling, lang *Language) *facts {
	f := &facts{all: map[string]Fact{}, call: c, lang: lang, told: map[string][]toldLine{}}
	if t := r.Touch; t.Number > 0 {
		f.add("touch/number", fmt.Sprint(t.Number), "number", nil)
		f.add("touch/before", fmt.Sprintf("%d–%d", t.Before.Left, t.Before.Right), "before", nil)
	}
	if x := raceOf(r); x != nil {
		f.race(r, x)
	}
	if r.Timing != nil {
		f.timed(r.Timing)
	}
	if r.Tactics != nil {
		f.tactical(r.Tactics)
	}
	return f
}

// raceOf is the race that a script tells: of the instant asked for, else of the touch.
func raceOf(r *study.Reading) *study.Race {
	if r.Timing != nil && r.Timing.Race != nil {
		return r.Timing.Race
	}
	return r.Race
}

func (f *facts) who(s mark.Side) words {
	return words{"who": f.call.say[s], "other": f.call.say[s.Other()]}
}

func (f *facts) race(r *study.Reading, x *study.Race) {
	f.add("race/window", plate.Milliseconds(x.Window), "race-window", nil)
	f.add("race/both", chanceOf(x.Both), "race-both", nil)
	f.add("race/neither", chanceOf(x.Neither), "race-neither", nil)
	for _, s := range mark.Sides {
		first, margin, only := firstOf(x, s), x.Margin, x.LeftOnly
		if s == mark.Right {
			margin, only = negated(margin), x.RightOnly
		}
		side, w := s.String(), f.who(s)
		f.add("race/first/"+side, chanceOf(first), "race-first", w)
		f.add("race/margin/"+side, plate.Milliseconds(margin), "race-margin", w)
		f.add("race/between/"+side, plate.MillisecondsBetween(margin), "race-between", w)
		f.add("race/only/"+side, chanceOf(only), "race-only", w)
		w["target"] = f.lang.Target(x.Runs[s].Target)
		f.add(fmt.Sprintf("gap/%s/%s", side, x.Runs[s].Target), plate.Metres(x.Runs[s].Gap), "gap", w)
		for _, in := range r.Instants {
			if in.Take != x.Take || in.Frame != x.Frame {
				continue
			}
			for _, g := range in.Gaps {
				if g.Of == s && g.Target == mark.Chest {
					w["target"] = f.lang.Target(mark.Chest)
					f.add(fmt.Sprintf("gap/%s/%s", side, mark.Chest), plate.Metres(g.Gap), "gap", w)
				}
			}
		}
	}
}

func (f *facts) timed(x *study.Timing) {
	if w := x.Windows; w != nil {
		f.add("windows/arrives", chanceOf(w.Arrives), "arrives", f.who(x.Attacker))
		f.add("windows/hit", plate.Milliseconds(w.Hit), "hit", f.who(x.Attacker))
		f.add("windows/ready", plate.Milliseconds(w.Ready), "ready", f.who(x.Attacker.Other()))
		for _, a := range w.Each {
			f.add("windows/in-time/"+string(a.Answer), chanceOf(a.InTime), "in-time", words{"answer": f.lang.Answer(a.Answer)})
		}
	}
	for _, s := range mark.Sides {
		side := s.String()
		if c := x.Commits[s]; c != nil {
			for _, can := range c.Can {
				if can.Known && can.Next.Mean > 0 {
					w := f.who(s)
					w["does"] = f.lang.Does(can.Do)
					f.add(fmt.Sprintf("commit/%s/%s", side, can.Do), plate.Milliseconds(can.Next), "commit", w)
				}
			}
		}
	}
	if st := x.Started; st != nil {
		for _, s := range mark.Sides {
			side := s.String()
			if startsOfBoth(st) {
				f.add("started/"+side, chanceOf(st.Order.SideFirst[s]), "started", f.who(s))
			}
			if l := st.Lags[s]; l != nil {
				f.add("lag/hand-first/"+side, plate.Milliseconds(l.Time), "lag-hand", f.who(s))
				f.add("lag/foot-first/"+side, plate.Milliseconds(negated(l.Time)), "lag-foot", f.who(s))
			}
		}
		if l := st.Launch; l != nil {
			w := f.who(l.Who)
			w["into"] = f.lang.Launched(l.Into)
			f.add("launch/chance", odds(l.Chance), "launch", w)
			if l.Tempi != nil {
				f.add("launch/tempi", plate.FigureOf(*l.Tempi, plate.InCounts).Text, "tempi", f.who(l.Who))
			}
		}
	}
	if p := x.Parry; p != nil {
		w := f.who(p.Defender)
		f.add("parry/needed", plate.Degrees(p.Asked.Needed), "parry-needed", w)
		if o := p.Observed; o != nil {
			f.add("parry/asked", plate.Degrees(o.Judged.Asked), "parry-asked", w)
			f.add("parry/made", plate.Degrees(o.Judged.Made), "parry-made", w)
			for i, size := range timing.Sizes() {
				f.add("parry/size/"+string(size), chanceOf(o.Judged.Chances[i]), "parry-size", words{"size": f.lang.Size(size)})
			}
		}
		if p.Riposte != nil {
			f.add("riposte/only", chanceOf(p.Riposte.Result.Direct.RiposteOnly), "riposte", w)
		}
	}
	for _, n := range x.Notes {
		if !n.Dismissed && !ownWords[n.Kind] {
			f.note(n)
		}
	}
}

// ownWords are the kinds of notes that the lines of a script say themselves.
var ownWords = map[string]bool{study.NoteHandBeforeFoot: true, study.NoteFootBeforeHand: true, study.NoteParrySmall: true, study.NoteParryLarge: true,
	study.NoteParryEnough: true, study.NoteNoWayBack: true, study.NoteLaunch: true, study.NoteLate: true}

func startsOfBoth(st *study.Started) bool {
	var there [2]bool
	for _, s := range st.Starts {
		if s.Side == 0 || s.Side == 1 {
			there[s.Side] = true
		}
	}
	return there[0] && there[1]
}

func (f *facts) tactical(x *study.Tactics) {
	f.add("tactics/at", fmt.Sprint(x.At), "number", nil)
	f.add("tactics/score", fmt.Sprintf("%d–%d", x.Score.Left, x.Score.Right), "before", nil)
	for _, s := range mark.Sides {
		h := x.Habits[s]
		if h == nil {
			continue
		}
		side := s.String()
		for _, c := range h.Choices {
			w := f.who(s)
			w["choice"] = f.choice(c.Kind)
			f.add(fmt.Sprintf("habit/%s/share/%s", side, c.Kind), share(c.Share), "habit-share", w)
			f.add(fmt.Sprintf("habit/%s/count/%s", side, c.Kind), plate.Count(c.Bout), "habit-count", w)
		}
		if ch := h.Change; ch != nil {
			w := f.who(s)
			w["choice"] = f.choice(ch.Kind)
			f.add(fmt.Sprintf("habit/%s/change/from", side), fmt.Sprint(ch.From), "change-at", w)
			f.add(fmt.Sprintf("habit/%s/change/to", side), fmt.Sprint(ch.To), "change-at", w)
			f.add(fmt.Sprintf("habit/%s/change/sure", side), share(ch.Sure), "change-sure", w)
			f.add(fmt.Sprintf("habit/%s/before/%s", side, ch.Kind), share(ch.Before), "change-before", w)
			f.add(fmt.Sprintf("habit/%s/after/%s", side, ch.Kind), share(ch.After), "change-after", w)
		}
	}
	if p := x.Payoff; p != nil {
		for i, kind := range p.Mine {
			if i < len(p.Standings) {
				w := f.who(x.For)
				w["choice"] = f.choice(kind)
				f.add("worth/"+kind, share(p.Standings[i].Worth), "worth", w)
			}
		}
	}
	f.sentences(x)
}

// choice is the word for a kind of choice; the coach's own words may have a name in them.
func (f *facts) choice(kind string) string { return f.call.hide(f.lang.Choice(kind)) }
