package payoff

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/quantity"
)

// Part is a piece of a sentence: plain words, or a number and what it is of.
type Part struct {
	Text string
	// Of is empty for words, else one of: "standing" and "after/END" (what the bout is
	// worth now, and after an end of the phrase), "mix", "worth/I", "cell/I/J", "ends/I",
	// "habit/J", "shown/I", "balance/J", with I of my choices and J of the opponent's,
	// counted from 0.
	Of string
}

// Words are the names by which choices are called in the middle of a sentence: with
// their article, or in quotation marks.
type Words struct{ Mine, Theirs []string }

// speaker makes sentences of an advice.
type speaker struct {
	Advice
	w Words
}

// Say says the advice in a coach's words, by the names of the choices or by others: what
// to do, how sure it is, where the answer tips, which number drives it, what the
// opponent can do about it.
func (a Advice) Say(w Words) [][]Part {
	s := speaker{a, w}
	r, p := a.Reply, a.Play
	best := s.mine(r.Choice)
	say := [][]Part{line("Your chance to win stands at ", num(percent(a.After.Nothing), "standing"),
		"; mixed so that it does not matter what they do, this touch is worth ", num(percent(p.Floor), "mix"), ".")}
	if a.TooLittle {
		say = append(say, a.SayMix(w))
	}
	verb := " pays best against what they do: it is worth "
	if a.TooLittle {
		verb = " would pay best if they went on as they began: it is worth "
	}
	say = append(say, line(best, verb, num(percent(r.Worth), worthOfChoice(r.Choice)), ", ", above(r.Edge), "."))
	say = append(say, s.apart())
	if b, ok := a.Tips(); ok {
		say = append(say, s.tips(b))
	} else {
		say = append(say, line("No share of any one of their choices makes another answer better than ", best, ", the others keeping their proportions."))
	}
	if len(a.Drivers) > 0 {
		say = append(say, s.driver(a.Drivers[0]))
	}
	say = append(say, line("If they see through it they answer ", s.their(r.Counter), ", which leaves you ", num(percent(r.Left), cellOf(r.Choice, r.Counter)), "."))
	if !a.TooLittle {
		say = append(say, a.SayMix(w))
	}
	return append(say, a.SayScore(), s.expects())
}

// Sentences are those of Say with the names of the choices.
func (a Advice) Sentences() []string {
	var all []string
	for _, s := range a.Say(Words{quoted(a.Mine), quoted(a.Theirs)}) {
		all = append(all, joined(s))
	}
	return all
}

// apart says whether the best reply can be told apart from the others.
func (s speaker) apart() []Part {
	r := s.Reply
	lead := []any{s.mine(r.Choice), " is ahead of ", s.mine(r.Second), " by ", num(points(r.Ahead), worthOfChoice(r.Second)), "."}
	if r.Apart {
		return line(lead...)
	}
	var names []any
	alike := 0
	for i, x := range s.Standings {
		if x.Alike {
			alike++
			names = append(names, s.mine(i), ", ")
		}
	}
	if alike == len(s.Standings) && alike > 2 {
		return line(append([]any{"None of your choices can be told apart from the best on what is known: "}, lead...)...)
	}
	names = names[:len(names)-1]
	names[len(names)-2] = " and "
	return line(append(append(names, " cannot be told apart on what is known: "), lead...)...)
}

// tips says where the answer tips, and on which side of it the opponent's habit lies
// where that can be told.
func (s speaker) tips(b Balance) []Part {
	side := []any{": which of the two pays cannot be told."}
	switch {
	case b.Past.Mean >= 0.975:
		side = []any{": ", s.mine(b.Above), "."}
	case b.Past.Mean <= 0.025:
		side = []any{": ", s.mine(b.Below), "."}
	}
	return line(append([]any{s.mine(b.Below), " pays while they choose ", s.their(b.Choice), " less than ", num(percent(b.Share), balanceOf(b.Choice)), " of the time, ",
		s.mine(b.Above), " above that; after these touches the estimate is ", num(percent(b.Habit), habitOf(b.Choice))}, side...)...)
}

// Say says where on the course the answer tips, nearest to the habit.
func (c Course) Say(a Advice, w Words) []Part {
	s := speaker{a, w}
	if len(c.Tips) == 0 {
		return line("However often they choose ", s.their(c.Choice), ", the others keeping their proportions, ", s.mine(c.Mine[0]), " is worth the most; the estimate is ",
			num(percent(a.Habit[c.Choice]), habitOf(c.Choice)), ".")
	}
	return s.tips(c.Tips[0])
}

// Say says one of the next choices: why, and what it risks at this score.
func (n Next) Say(a Advice, w Words) []Part {
	s := speaker{a, w}
	why := []any{s.mine(n.Choice), " is worth ", num(percent(n.Worth), worthOfChoice(n.Choice)), ": it pays against ", s.their(n.Pays), ", which comes ", num(percent(a.Habit[n.Pays]), habitOf(n.Pays)), " of the time"}
	if n.Shown != nil && n.Foreseen != nil {
		why = append(why, "; they have seen it ", num(percent(*n.Shown), shownOf(n.Choice)), " of the time, and if they answer what you have shown it is worth ",
			num(percent(*n.Foreseen), cellOf(n.Choice, a.Expected.Answer)))
	}
	why = append(why, ".")
	return append(append(line(why...), Part{Text: " "}), line("It ends in your hit ", num(percent(n.Ends.Me), endsOfChoice(n.Choice)), " of the time, in a double ", num(percent(n.Ends.Double), endsOfChoice(n.Choice)),
		", in their hit ", num(percent(n.Ends.Opponent), endsOfChoice(n.Choice)), ", which on average costs ", num(points(n.Risk), endsOfChoice(n.Choice)),
		"; ", s.their(n.Worst), " meets it best.")...)
}

// SayScore says what hangs on the phrase at this score, and what a double does.
func (a Advice) SayScore() []Part {
	k := a.Stakes
	return line(append([]any{"At this score your hit brings ", num(points(k.Hit), "after/me"), " of the chance to win, theirs costs ", num(points(k.Cost), "after/opponent"), ". "}, k.double()...)...)
}

// SayMix says how to mix, by the game alone where too little was seen of the opponent.
func (a Advice) SayMix(w Words) []Part {
	s := speaker{a, w}
	if a.TooLittle {
		return line("Too little was seen of them to lean on a habit: mix ", s.mix(a.Play.Even), ".")
	}
	return line("Safe against being read: ", s.mix(a.Play.Mix), ". Whatever they do it loses at most ", num(atMost(a.Play.Regret), "mix"), " against your mix of the game, ", num("39 times in 40", "mix"), ".")
}

// SayApart says whether the best reply can be told apart from the others.
func (a Advice) SayApart(w Words) []Part { return speaker{a, w}.apart() }

// SayExpected says what the opponent will likely expect.
func (a Advice) SayExpected(w Words) []Part { return speaker{a, w}.expects() }

// double says what a double does at this score, and for whom where that can be told.
func (k Stakes) double() []any {
	d := k.Double
	switch {
	case math.Abs(float64(d.Lo)) < 0.0005 && math.Abs(float64(d.Hi)) < 0.0005:
		return []any{"A double changes nothing."}
	case d.Lo > 0:
		return []any{"A double helps you by ", num(points(d), "after/double"), "."}
	case d.Hi < 0:
		return []any{"A double costs you ", num(points(negated(d)), "after/double"), "."}
	}
	return []any{"Whom a double helps cannot be told: it changes your chance by ", num(points(d), "after/double"), "."}
}

func negated(q quantity.Of[quantity.Ratio]) quantity.Of[quantity.Ratio] {
	return quantity.Of[quantity.Ratio]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}

// Sentence is that of Say with the names of the choices.
func (n Next) Sentence(a Advice) string {
	return joined(n.Say(a, Words{quoted(a.Mine), quoted(a.Theirs)}))
}

// expects says what the opponent will likely expect.
func (s speaker) expects() []Part {
	e := s.Expected
	switch {
	case e == nil:
		return line("What they expect of you is not known: your own choices were not counted.")
	case e.TooLittle:
		return line("They have seen too little of you to expect anything.")
	}
	return line("They will most likely expect ", s.mine(e.Choice), ", which you have shown ", num(percent(e.Habit[e.Choice]), shownOf(e.Choice)),
		" of the time; their answer to what you have shown is ", s.their(e.Answer), ".")
}

// Tips returns the balance point nearest to the habit at which the best reply gives
// way; false where none does.
func (a Advice) Tips() (Balance, bool) {
	for _, b := range a.Balance {
		if b.Below == a.Reply.Choice || b.Above == a.Reply.Choice {
			return b, true
		}
	}
	return Balance{}, false
}

func (s speaker) driver(g Driver) []Part {
	var what []any
	of := ""
	switch g.Kind {
	case OfCell:
		what, of = []any{"what ", s.mine(g.Mine), " is worth against ", s.their(g.Theirs)}, cellOf(g.Mine, g.Theirs)
	case OfHabit:
		what, of = []any{"how often they choose ", s.their(g.Theirs)}, habitOf(g.Theirs)
	case OfScore:
		what, of = []any{"what the bout is worth after " + map[string]string{"me": "your hit", "double": "a double", "opponent": "their hit", "nothing": "no hit"}[g.End]}, "after/"+g.End
	}
	tail := []Part{{Text: "no value of it alone would turn the answer."}}
	if g.Tips != nil {
		tail = pieces("at ", num(quantity.Percent(quantity.Chance(*g.Tips)), of), " the answer turns.")
	}
	all := append([]any{"The number that drives the answer is "}, what...)
	return line(append(all, ", ", num(percent(g.Value), of), ": ", num(quantity.Percent(quantity.Chance(g.Part)), of), " of the doubt goes with it, and ", tail)...)
}

// mix names the choices of a mix that are made at all, the most frequent first.
func (s speaker) mix(shares []quantity.Chance) []Part {
	v := make([]float64, len(shares))
	for i, s := range shares {
		v[i] = float64(s)
	}
	var parts []Part
	for _, i := range ranked(v) {
		if v[i] < 0.005 {
			continue
		}
		if len(parts) > 0 {
			parts = append(parts, Part{Text: ", "})
		}
		parts = append(parts, Part{Text: s.mine(i) + " "}, num(quantity.Percent(shares[i]), "mix"))
	}
	return parts
}

func (s speaker) mine(i int) string  { return s.w.Mine[i] }
func (s speaker) their(j int) string { return s.w.Theirs[j] }

// quoted are names as words that nobody declines.
func quoted(names []string) []string {
	all := make([]string, len(names))
	for i, n := range names {
		all[i] = "“" + n + "”"
	}
	return all
}

func worthOfChoice(i int) string { return fmt.Sprintf("worth/%d", i) }
func endsOfChoice(i int) string  { return fmt.Sprintf("ends/%d", i) }
func cellOf(i, j int) string     { return fmt.Sprintf("cell/%d/%d", i, j) }
func habitOf(j int) string       { return fmt.Sprintf("habit/%d", j) }
func shownOf(i int) string       { return fmt.Sprintf("shown/%d", i) }
func balanceOf(j int) string     { return fmt.Sprintf("balance/%d", j) }

// line is a sentence of words, parts and lists of parts.
func line(all ...any) []Part {
	out := pieces(all...)
	if len(out) > 0 { // a name may begin the sentence
		name, mark := out[0].Text, ""
		if rest, ok := strings.CutPrefix(name, "“"); ok {
			name, mark = rest, "“"
		}
		first, n := utf8.DecodeRuneInString(name)
		if n > 0 {
			out[0].Text = mark + string(unicode.ToUpper(first)) + name[n:]
		}
	}
	return out
}

// pieces joins words, parts and lists of parts.
func pieces(all ...any) []Part {
	var out []Part
	for _, v := range all {
		switch v := v.(type) {
		case string:
			if n := len(out); n > 0 && out[n-1].Of == "" {
				out[n-1].Text += v
			} else {
				out = append(out, Part{Text: v})
			}
		case Part:
			out = append(out, v)
		case []Part:
			out = append(out, v...)
		}
	}
	return out
}

func num(text, of string) Part { return Part{text, of} }

func joined(parts []Part) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteString(p.Text)
	}
	return b.String()
}

// above says what a choice is worth beyond the mix of the game.
func above(q quantity.Of[quantity.Ratio]) []Part {
	if math.Abs(float64(q.Mean)) < 0.0005 {
		return pieces("no more than your mix of the game")
	}
	return pieces(num(points(q), "mix"), " more than your mix of the game")
}

// percent prints a chance in whole percent with its 95 % rounded outward, such as
// "62 % [38, 82]"; one that is given as exact stands alone.
func percent(q quantity.Of[quantity.Chance]) string {
	if float64(q.Hi-q.Lo) < 1e-9 {
		return quantity.Percent(quantity.Chance(q.Mean))
	}
	return fmt.Sprintf("%s [%.0f,\u00a0%.0f]", quantity.Percent(quantity.Chance(q.Mean)), math.Floor(100*float64(q.Lo)+1e-9), math.Ceil(100*float64(q.Hi)-1e-9))
}

// points prints a difference of chances in points of a hundred, its interval rounded
// outward.
func points(q quantity.Of[quantity.Ratio]) string {
	if float64(q.Hi-q.Lo) < 1e-9 {
		return tenth(float64(q.Mean)) + "\u00a0points"
	}
	return fmt.Sprintf("%s\u00a0points [%s,\u00a0%s]", tenth(float64(q.Mean)), tenth(math.Floor(1000*float64(q.Lo)+1e-9)/1000), tenth(math.Ceil(1000*float64(q.Hi)-1e-9)/1000))
}

// atMost prints what is lost at most, the upper end of a regret.
func atMost(q quantity.Of[quantity.Ratio]) string {
	return tenth(math.Ceil(1000*float64(max(0, q.Hi))-1e-9)/1000) + "\u00a0points"
}

// tenth prints points of a hundred to a tenth, never as "−0.0".
func tenth(v float64) string {
	r := math.Round(1000*v) / 10
	if r == 0 {
		r = 0 // without the sign of what was rounded away
	}
	return strings.Replace(fmt.Sprintf("%.1f", r), "-", "−", 1)
}
