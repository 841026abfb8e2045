package study

import (
	"math"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/payoff"
)

// sentencesWithout are the sentences of a story that hold none of these words.
func sentencesWithout(x *Tactics, words ...string) []string {
	var all []string
	for _, s := range x.Story {
		text := s.String()
		if !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(text, w) }) {
			all = append(all, text)
		}
	}
	return all
}

// What the sheet alone decides, told by hand from the sheet of wheel. What is expected,
// what hangs on it and what is sound follow from other sums and are tested below.
func TestStoryOfTheWheel(t *testing.T) {
	others := []string{"chance to win", "double helps", "chooses well", "speaks against", "sound", "expect", "guess", "leads with", "coming", "better choice"}
	for at, want := range map[int][]string{
		1: {"Touch 1 opens the bout of Ilse Brandor and Kim Vesper, which goes to 15.",
			"It goes like this: Vesper looks for the parry against the straight attack, but Brandor hits."},
		4: {"Touch 4 is fenced at 1–2, in a bout to 15: Kim Vesper leads Ilse Brandor by 1 hit.",
			"The bout opens like this: Vesper looks for the parry against the straight attack, but Brandor hits.",
			"Brandor brings nothing but the straight attack, at 3 touches: 1 hit and 2 hits against.",
			"What stops it is the parry and riposte, with 2 of 2 hits against it.",
			"From Vesper it is always the parry and riposte, 3 times, with 2 hits and 1 hit against.",
			"Now Brandor changes from the straight attack, hit at touch 3, to the feint and attack.",
			"So they meet: Vesper looks for the parry against the feint and attack, but Brandor hits."},
		7: {"Touch 7 is fenced at 3–4, in a bout to 15: Kim Vesper leads Ilse Brandor by 1 hit.",
			"The bout opens like this: Vesper looks for the parry against the straight attack, but Brandor hits.",
			"Brandor most often brings the straight attack, at 4 of 6 touches: 1 hit, 1 double and 2 hits against.",
			"From Vesper it is most often the parry and riposte, 4 of 6, with 2 hits and 2 hits against.",
			"After touch 3, where the straight attack is hit, Brandor turns to the feint and attack, and hits.",
			"Then, at touch 5, both change to the straight attack, and both hit.",
			"At touch 6, both change: Brandor to the feint and attack, Vesper to the counter-attack; Vesper hits.",
			"Now Brandor changes from the feint and attack, hit at touch 6, to counter-time.",
			"So they meet: Vesper counter-attacks into counter-time, but Brandor hits."},
	} {
		got := sentencesWithout(toldOf(t, TacticsAsk{Bout: boutOf(wheel), At: at}), others...)
		if !slices.Equal(got, want) {
			t.Errorf("touch %d is told\n%s\nwant\n%s", at, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// toldOf tells without the payoffs, which cost the most and are somebody else's.
func toldOf(t testing.TB, ask TacticsAsk) *Tactics {
	t.Helper()
	ask.Draws = 60
	x, err := newTactics(ask)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []func() error{x.habits, x.thread, x.tell} {
		if err := part(); err != nil {
			t.Fatal(err)
		}
	}
	return x.out
}

// storyOf begins a story by hand.
func storyOf(t *testing.T, ask TacticsAsk) *story {
	t.Helper()
	ask.Draws = 60
	x, err := newTactics(ask)
	if err != nil {
		t.Fatal(err)
	}
	return &story{tacticsRun: x, f: ask.For, o: ask.For.Other()}
}

// text is what a story has by now.
func (t *story) text() string {
	var all []string
	for _, s := range t.told {
		all = append(all, t.sentence(append(s.parts, "."), nil).String())
	}
	return strings.Join(all, "\n")
}

// A word for how likely something is needs an interval that carries it.
func TestStoryExpects(t *testing.T) {
	of := func(mean, lo, hi quantity.Chance) quantity.Of[quantity.Chance] {
		return quantity.Of[quantity.Chance]{Mean: mean, SD: 0.1, Lo: lo, Hi: hi}
	}
	knew := func(q quantity.Of[quantity.Chance], little bool) *Knew {
		return &Knew{Likely: bout.ChoiceAttack, Share: q, Seen: 9, TooLittle: little, Source: "knew"}
	}
	for _, c := range []struct {
		mine, theirs *Knew
		want         string
	}{
		{nil, nil, ""},
		{knew(of(0.7, 0.51, 0.9), false), knew(of(0.7, 0.49, 0.9), false),
			"Brandor can expect the straight attack from Vesper, at 70 % [51, 90].\nVesper's best guess of Brandor is the straight attack, at 70 % [49, 90], which leaves much open."},
		{knew(of(0.7, 0.5, 0.9), false), knew(of(0.7, 0.6, 0.9), false),
			"By what Brandor has seen of Vesper, the straight attack leads with 70 % [50, 90]: a guess, no more.\nWhat Vesper can expect in return is the straight attack, at 70 % [60, 90]."},
		{knew(of(0.9, 0.8, 1), true), knew(of(0.9, 0.8, 1), true), "Neither has seen enough of the other to expect anything: 9 choices of each."},
		{knew(of(0.9, 0.8, 1), true), nil, "Brandor has seen too little of Vesper to expect anything: 9 choices."},
		{nil, knew(of(0.9, 0.8, 1), true), "Of Brandor too little is seen for Vesper to expect anything: 9 choices."},
	} {
		s := storyOf(t, TacticsAsk{Bout: boutOf(wheel), At: 4})
		s.knewOf = [2]*Knew{mark.Left: c.mine, mark.Right: c.theirs}
		s.expected()
		if got := strings.ReplaceAll(s.text(), "\u00a0", " "); got != c.want {
			t.Errorf("told\n%s\nwant\n%s", got, c.want)
		}
	}
}

// A surprise is one whose whole interval lies below one half.
func TestStorySurprise(t *testing.T) {
	for _, c := range []struct {
		mean, lo, hi quantity.Chance
		came         bool
		want         string
	}{
		{0.2, 0.05, 0.49, false, "Vesper has little reason to expect the feint and attack: 20 % [5, 49]."},
		{0.3, 0.05, 0.51, false, "Whether Vesper could see the feint and attack coming cannot be told: 30 % [5, 51]."},
		{0.6, 0.49, 0.8, true, "Whether Vesper could see the feint and attack coming cannot be told: 60 % [49, 80]."},
		{0.7, 0.51, 0.9, true, "Vesper could see the feint and attack coming: 70 % [51, 90]."},
	} {
		s := storyOf(t, TacticsAsk{Bout: boutOf(wheel), At: 4})
		s.knewOf[mark.Right] = &Knew{Likely: bout.ChoiceFeint, Came: c.came, ShareOfCame: quantity.Of[quantity.Chance]{Mean: c.mean, Lo: c.lo, Hi: c.hi}, Source: "knew"}
		s.surprised()
		if got := strings.ReplaceAll(s.text(), "\u00a0", " "); got != c.want {
			t.Errorf("told %q, want %q", got, c.want)
		}
	}
}

// Sound is what is shown to be best; nothing speaks against what cannot be told from that.
// How the touch ended does not enter.
func TestStorySound(t *testing.T) {
	worth := func(v quantity.Chance) payoff.Standing {
		return payoff.Standing{Worth: quantity.Of[quantity.Chance]{Mean: 0.5 + v, SD: 0.02, Lo: 0.5 + v - 0.04, Hi: 0.5 + v + 0.04}}
	}
	for _, c := range []struct {
		at, best             int
		apart, alike, little bool
		want                 string
	}{
		{4, 1, true, false, false, "By what can be known before it the feint and attack brings most, +2 % [−2, +6] of the chance to win: a sound choice."},
		{4, 1, true, false, true, "With little seen of Vesper, by race and windows the feint and attack brings most, +2 % [−2, +6] of the chance to win: a sound choice."},
		{6, 1, false, false, false, "By what can be known before it no choice can be shown to bring more than the feint and attack, +2 % [−2, +6] of the chance to win: nothing speaks against it, hit or not."},
		{4, 0, false, true, false, "By what can be known before it the feint and attack brings +2 % [−2, +6] of the chance to win and the straight attack −1 % [−5, +3]; the two cannot be told apart, so nothing speaks against the choice."},
		{4, 0, true, false, false, "By what can be known before it the straight attack brings more, −1 % [−5, +3] of the chance to win against +2 % [−2, +6] for the feint and attack: there is a better choice."},
		{7, 0, true, false, false, "Whether counter-time is sound cannot be said: it is not among the choices that were valued."},
		{8, 0, true, false, false, "Whether Brandor chooses well cannot be said: the choice is not written."},
		{10, 1, true, false, false, "Against what Vesper tends to do the feint and attack brings most: +2 % [−2, +6] of the chance to win."},
		{10, 1, true, false, true, "Too little is seen of Vesper to lean on a habit, so mixing is the advice."},
		{10, 1, false, false, false, "Against what Vesper tends to do the feint and attack and the straight attack cannot be told apart: they bring +2 % [−2, +6] and −1 % [−5, +3] of the chance to win."},
	} {
		s := storyOf(t, TacticsAsk{Bout: boutOf(wheel), At: c.at})
		p := &Payoff{}
		p.Mine = []string{bout.ChoiceAttack, bout.ChoiceFeint}
		p.Standings = []payoff.Standing{worth(-0.01), worth(0.02)}
		p.Standings[1].Alike, p.TooLittle = c.alike, c.little
		p.After.Nothing.Mean = 0.5
		p.Reply = payoff.Reply{Choice: c.best, Second: 1 - c.best, Apart: c.apart}
		s.out.Payoff = p
		s.sound()
		if got := strings.ReplaceAll(s.text(), "\u00a0", " "); got != c.want {
			t.Errorf("told %q, want %q", got, c.want)
		}
		if s.out.Payoff = nil; c.at == 4 {
			s.told = nil
			if s.sound(); s.text() != "Whether Brandor chooses well cannot be said: what each choice is worth is not known." {
				t.Errorf("without payoffs told %q", s.text())
			}
		}
	}
}

// What hangs on a touch is what BoutRead has of a bout that ends before it: the same
// draws by another way. Seen from the right it is the mirror image.
func TestStakeBySecondRoute(t *testing.T) {
	b := boutOf(wheel)
	lines, _ := SheetLines(b)
	r, err := BoutRead(BoutAsk{Bout: b, Lines: lines[:6]})
	if err != nil {
		t.Fatal(err)
	}
	s := storyOf(t, TacticsAsk{Bout: b, At: 7})
	s.ask.Draws, s.ask.Seed = boutDraws, boutSeed
	k, err := s.stake()
	if err != nil {
		t.Fatal(err)
	}
	same := func(what string, got, want quantity.Of[quantity.Chance]) {
		for _, d := range []quantity.Chance{got.Mean - want.Mean, got.SD - want.SD, got.Lo - want.Lo, got.Hi - want.Hi} {
			if math.Abs(float64(d)) > 1e-12 {
				t.Errorf("%s is %+v, want %+v", what, got, want)
				return
			}
		}
	}
	same("the chance to win", k.win, r.Now.Win)
	same("what hangs on it", k.hangs, r.Now.Importance)
	same("a double", k.double, r.Now.DoubleWorth)
	if i := s.listed[k.from]; !slices.Equal(s.out.Sources[i].Touches, []int{1, 2, 3, 4, 5, 6}) {
		t.Errorf("it comes from touches %v", s.out.Sources[i].Touches)
	}
	// At 14–14 a double is void and whoever hits wins; in foil there are no doubles.
	start := bout.Score{Left: 14, Right: 14}
	b.Sheet, b.Start = nil, &start
	for _, w := range []bout.Weapon{bout.Epee, bout.Foil} {
		b.Weapon = w
		s = storyOf(t, TacticsAsk{Bout: b, For: mark.Right})
		if k, err = s.stake(); err != nil {
			t.Fatal(err)
		}
		if !k.decides || k.void != (w == bout.Epee) || k.doubles != (w == bout.Epee) || math.Abs(float64(k.hangs.Mean-1)) > 1e-12 {
			t.Errorf("%s at 14–14: %+v", w, k)
		}
		s.hung(k)
		if void := strings.Contains(s.text(), "a double counts for nobody"); void != (w == bout.Epee) {
			t.Errorf("%s at 14–14 is told %q", w, s.text())
		}
	}
}

// A lead of one at 14–13 makes a double worth something to the leader, whoever coaches
// (figures T22, G13): the sign goes with the side.
func TestStoryDouble(t *testing.T) {
	var lines [][4]string
	for _, o := range "LRLRDLRLRDLRLRLRDLRLRLLR" {
		lines = append(lines, [4]string{string(o)})
	}
	b := boutOf(lines)
	if at := b.Sheet[len(b.Sheet)-1].After; at != (bout.Score{Left: 14, Right: 13}) {
		t.Fatalf("it stands at %v", at)
	}
	for _, s := range mark.Sides {
		st := storyOf(t, TacticsAsk{Bout: b, For: s})
		k, err := st.stake()
		if err != nil {
			t.Fatal(err)
		}
		st.hung(k)
		if !strings.Contains(st.text(), ", and a double helps Brandor: ") {
			t.Errorf("for the %v it is told %q", s, st.text())
		}
	}
}

// What the time asks for, the change of a habit, an earlier meeting and a bout that is over
// are told in their place.
func TestStoryTellsWhatItIsGiven(t *testing.T) {
	of := func(mean, lo, hi quantity.Chance) quantity.Of[quantity.Chance] {
		return quantity.Of[quantity.Chance]{Mean: mean, SD: 0.1, Lo: lo, Hi: hi}
	}
	b := boutOf(wheel)
	change := func(sure quantity.Of[quantity.Chance]) *Habit {
		return &Habit{Change: &HabitChange{Since: 4, From: 2, To: 6, Sure: sure, Kind: bout.ChoiceFeint, Before: of(0.1, 0, 0.3), After: of(0.6, 0.4, 0.8)}}
	}
	timed := boutOf(wheel)
	timed.Sheet[0].Clock, timed.Sheet[1].Clock, timed.Sheet[2].Clock = "2:40", "2:20", "1:55"
	end := slices.Repeat([][4]string{{"L", "attack", "parry", ""}}, 15)
	for _, c := range []struct {
		ask  TacticsAsk
		tell func(*story)
		want string
	}{
		{TacticsAsk{Bout: b, At: 4, Clock: &ClockAsk{Left: 24.6}}, (*story).clockStands, "0:25 is left on the clock, and it is Brandor who has to hit."},
		{TacticsAsk{Bout: b, At: 5, Clock: &ClockAsk{Left: 60, Priority: "left"}}, (*story).clockStands, "1:00 is left of the extra minute, with the priority for Brandor, and it is Vesper who has to hit."},
		{TacticsAsk{Bout: b, At: 4, Clock: &ClockAsk{Left: 150}}, (*story).clockStands, "2:30 is left on the clock."},
		{TacticsAsk{Bout: timed, At: 4}, func(s *story) {
			k, err := s.stake()
			if err != nil {
				t.Fatal(err)
			}
			s.hung(k)
			s.told[0].parts = s.told[0].parts[:5]
		}, "With 7:55 left, what Brandor."}, // of the first of three periods
		{TacticsAsk{Bout: b, At: 3}, (*story).came, "Both stay with what they have: Vesper parries the straight attack for the third time and hits."},
		{TacticsAsk{Bout: b, At: 7}, func(s *story) {
			s.out.Habits = [2]*Habit{change(of(0.95, 0.95, 0.95)), change(of(0.5, 0.5, 0.5))}
			s.habitChanged()
		}, "Since touch 4 [2, 6] Brandor likely follows another habit: the feint and attack goes from 10 % [0, 30] to 60 % [40, 80]."},
		{TacticsAsk{Bout: b, At: 2, Past: []Act{{Bout: "x", Fencer: "ilse brandor", Opponent: "Kim Vesper"}, {Bout: "x", Fencer: "Kim Vesper", Opponent: "Ilse Brandor"}, {Bout: "y", Fencer: "Kim Vesper", Opponent: "Somebody"}}},
			(*story).metBefore, "The two have met before, in 1 bout of the library."},
		{TacticsAsk{Bout: boutOf(end)}, (*story).stands, "The bout is over: Brandor wins it at 15–0 after 15 touches on the sheet."},
		{TacticsAsk{Bout: boutOf(end[:14])}, (*story).stands, "The touch to come is number 15, at 14–0, in a bout to 15: Brandor needs 1 hit more, Vesper 15."},
		{TacticsAsk{Bout: boutOf(append(slices.Clone(end), end[0])), At: 16}, (*story).stands, "Touch 16 is fenced at 15–0, in a bout to 15: the bout is decided by then."},
		{TacticsAsk{Bout: boutOf(nil)}, (*story).stands, "Nothing is fenced yet between Brandor and Vesper: the bout goes to 15."},
		{TacticsAsk{Bout: boutOf([][4]string{{"L"}, {"R"}, {"D"}, {"-"}})}, (*story).opened, "No choice is written yet; of 4 touches before it Brandor hits alone in 1, Vesper in 1 and both hit in 1."},
	} {
		s := storyOf(t, c.ask)
		c.tell(s)
		if got := strings.ReplaceAll(s.text(), "\u00a0", " "); got != c.want {
			t.Errorf("told %q, want %q", got, c.want)
		}
	}
	got := tacticsOf(t, TacticsAsk{Bout: boutOf(end)}) // the bout in it, too
	if last := got.Story[len(got.Story)-1].String(); !strings.Contains(last, "weighs most") || len(got.Next) != 0 {
		t.Errorf("of a bout that is over is told\n%s\nand next %v", storyText(got), got.Next)
	}
}

func TestFamilyName(t *testing.T) {
	for full, want := range map[string]string{
		"Ilse Brandor": "Brandor", "BRANDOR Ilse": "BRANDOR", "Ilse BRANDOR": "BRANDOR", "Ilse": "Ilse", "Ilse van Brandor": "Ilse van Brandor",
		"Brandor I.": "Brandor", "I. Brandor": "Brandor", "I. B.": "I. B.", "": "", "李 小龙": "小龙",
	} {
		if got := familyName(full); got != want {
			t.Errorf("%q is %q, want %q", full, got, want)
		}
	}
	// What is too long loses whole words, so that names can be found and left out.
	b := boutOf(wheel)
	for long, want := range map[string]string{"Ilse Maria Theresia Augusta von Brandor": "Theresia Augusta von Brandor", strings.Repeat("x", 33): "Left"} {
		b.Left.Name = long
		if s := storyOf(t, TacticsAsk{Bout: b, At: 4}); s.short(mark.Left) != want {
			t.Errorf("%q is called %q, want %q", long, s.short(mark.Left), want)
		}
	}
	// Two of one family are called in full, nameless ones by their side.
	b = boutOf(wheel)
	b.Right.Name = "Arno Brandor"
	if s := storyOf(t, TacticsAsk{Bout: b, At: 4}); s.short(mark.Left) != "Ilse Brandor" || s.short(mark.Right) != "Arno Brandor" {
		t.Errorf("called %q and %q", s.short(mark.Left), s.short(mark.Right))
	}
}
