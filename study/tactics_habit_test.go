package study

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/habit"
)

// chosen is a bout in which the right fencer made these choices, by letter, and the left
// one, where a second string is given: a attack, c counter, p parry, d distance, w a word
// of the coach, - nothing written. The outcomes are as in typed.
func chosen(t testing.TB, outcomes, right, left string) TacticsAsk {
	t.Helper()
	b := typed(t, 15, outcomes).Bout
	words := map[byte]string{'a': "straight attack", 'c': "stop hit", 'p': "riposte", 'd': "distance", 'w': "yell", '-': ""}
	for i := range b.Sheet {
		b.Sheet[i].ID = fmt.Sprintf("l%d", i+1)
		c := bout.Choices{Right: words[right[i]]}
		if left != "" {
			c.Left = words[left[i]]
		}
		if c != (bout.Choices{}) {
			b.Sheet[i].Choices = &c
		}
	}
	return TacticsAsk{ID: "this", Bout: b, Draws: 50}
}

func tacticsAt(t testing.TB, a TacticsAsk) *tacticsRun {
	t.Helper()
	x, err := newTactics(a)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// habitIn returns the habit of the right fencer before line i of a bout.
func habitIn(t testing.TB, x *tacticsRun, i int) *Habit {
	t.Helper()
	h, err := x.habitAt(mark.Right, i)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func choiceIn(t testing.TB, h *Habit, kind string) HabitChoice {
	t.Helper()
	for _, c := range h.Choices {
		if c.Kind == kind {
			return c
		}
	}
	t.Fatalf("no choice %s", kind)
	return HabitChoice{}
}

// act is a choice of Brook in another bout, at a level score and no known measure.
func act(id ID, opponent, choice string) Act {
	return Act{Bout: id, Day: "2025-03-01", Fencer: "BROOK ", Opponent: opponent, Choice: choice, Mine: 3, Theirs: 3, To: 15, Outcome: OutcomeHit}
}

// TestHabitByHand: two choices of this bout and two of earlier ones, pooled by hand over
// the three ways in which the habit may have begun: in an earlier bout, new in this one,
// new with the second choice.
func TestHabitByHand(t *testing.T) {
	a := chosen(t, "rr", "ac", "")
	a.Theirs = []string{"straight attack", "counter"}
	a.Past = []Act{act("old", "Ash", "straight attack"), act("other", "Cedar", "stop hit")}
	x := tacticsAt(t, a)
	h := habitIn(t, x, 2)
	asked := Situation{Score: "ahead", Last: OutcomeHit, LastChoice: bout.ChoiceCounter}
	if h.Situation != asked || !slices.Equal(h.Kinds, []string{bout.ChoiceAttack, bout.ChoiceCounter}) {
		t.Fatalf("%+v, %v", h.Situation, h.Kinds)
	}
	// Situations: the first line was level and had nothing before it, the second ahead
	// after a hit of an attack; the earlier ones level with nothing before them.
	first := OtherScore * OtherLast * OtherChoice
	second := OtherChoice
	with, others := habit.SameOpponent, habit.OtherBouts // of the attack, of the counter
	prior := 0.5
	// How likely each beginning is, by all choices alike.
	old := (1 - habit.NewBout) * (prior + with) / (1 + with + others) * (1 - 1./habit.ChangeEvery) * (prior + others) / (2 + with + others)
	fresh := habit.NewBout * prior * (1 - 1./habit.ChangeEvery) * prior / 2
	late := ((1-habit.NewBout)*(prior+with)/(1+with+others) + habit.NewBout*prior) / habit.ChangeEvery * prior
	attack := (old*(prior+first*1+first*with)/(1+first+second+first*(with+others)) +
		fresh*(prior+first)/(1+first+second) + late*prior/(1+second)) / (old + fresh + late)
	got := choiceIn(t, h, bout.ChoiceAttack)
	if math.Abs(float64(got.Share.Mean)-attack) > 1e-12 {
		t.Errorf("attack %v, by hand %v", got.Share.Mean, attack)
	}
	if got.Here != 0 || got.Bout != 1 || got.Opponent != 1 || got.Others != 0 || got.Prior != .5 || !h.TooLittle {
		t.Errorf("%+v", got)
	}
	if c := choiceIn(t, h, bout.ChoiceCounter); c.Here != 1 || c.Bout != 1 || c.Opponent != 0 || c.Others != 1 {
		t.Errorf("%+v", c)
	}
}

// TestOrderOfWeight: one choice more weighs the more the nearer it is: this bout in this
// situation, this bout in another, an earlier bout of the two likewise, one with others
// likewise, and nothing at all. Beside it stand eight choices that never change.
func TestOrderOfWeight(t *testing.T) {
	share := func(ask func(*TacticsAsk)) float64 {
		a := chosen(t, "--------", "aaaaaaaa", "")
		for i := range a.Bout.Sheet {
			a.Bout.Sheet[i].Measure = "long"
		}
		a.Past = []Act{act("one", "Ash", "straight attack"), act("two", "Cedar", "straight attack")}
		ask(&a)
		a.At = len(a.Bout.Sheet) // the last line asks, at its measure
		x := tacticsAt(t, a)
		return float64(choiceIn(t, habitIn(t, x, x.at), bout.ChoiceCounter).Share.Mean)
	}
	line := func(choice, measure string) bout.Phrase {
		return bout.Phrase{Choices: &bout.Choices{Right: choice}, Measure: measure}
	}
	asked := bout.Phrase{Measure: "long"}
	past := func(opponent, measure string) func(*TacticsAsk) {
		return func(a *TacticsAsk) {
			c := act("three", opponent, "counter")
			c.Measure, c.Outcome = measure, OutcomeNothing
			before := c
			before.Choice, before.Measure = "straight attack", "long"
			a.Past = append(a.Past, before, c)
			a.Bout.Sheet = append(a.Bout.Sheet, asked)
		}
	}
	got := []float64{
		share(func(a *TacticsAsk) { a.Bout.Sheet = append(a.Bout.Sheet, line("counter", "long"), asked) }),
		share(func(a *TacticsAsk) { a.Bout.Sheet = append(a.Bout.Sheet, line("counter", "short"), asked) }),
		share(past("Ash", "long")), share(past("Ash", "short")), share(past("Cedar", "long")), share(past("Cedar", "short")),
		share(func(a *TacticsAsk) { a.Bout.Sheet = append(a.Bout.Sheet, asked) }),
	}
	for i := 1; i < len(got); i++ {
		if !(got[i] < got[i-1]) {
			t.Errorf("shares do not fall: %v", got)
		}
	}
	// The least likeness of two situations keeps the order of the sources.
	least := OtherMeasure * OtherScore * OtherMust * OtherLast * OtherChoice
	if !(habit.ThisBout*least > habit.SameOpponent && habit.SameOpponent*least > habit.OtherBouts) {
		t.Errorf("another situation weighs %g", least)
	}
}

// TestHabitKnowsNothingOfLater: what stands before a line is the same whatever follows.
func TestHabitKnowsNothingOfLater(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	a := chosen(t, "lrlrd-lrlr", "acpaaacppd", "pcpccpcacc")
	b := chosen(t, "lrlrd-lrlr", "acpaaacppd", "pcpccpcacc")
	for i := 6; i < 10; i++ {
		b.Bout.Sheet[i].Choices = &bout.Choices{Left: "distance", Right: "distance"}
		b.Bout.Sheet[i].Lamps.Left = r.IntN(2) == 0
	}
	x, y := tacticsAt(t, a), tacticsAt(t, b)
	for i := range 7 {
		p, q := habitIn(t, x, i), habitIn(t, y, i)
		if !reflect.DeepEqual(p.Choices, q.Choices) {
			t.Errorf("line %d: %+v, %+v", i, p.Choices, q.Choices)
		}
		k, err := x.knew(mark.Left, i)
		l, err2 := y.knew(mark.Left, i)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if i == 6 { // the choice of line 6 itself differs
			k.Came, k.ShareOfCame = l.Came, l.ShareOfCame
		}
		if !reflect.DeepEqual(k, l) {
			t.Errorf("line %d: %+v, %+v", i, k, l)
		}
	}
}

// TestKnew: bouts with others are not known to this opponent, and before the first
// choice nothing is.
func TestKnew(t *testing.T) {
	a := chosen(t, "lrl", "cca", "")
	for range 8 {
		a.Past = append(a.Past, act("other", "Cedar", "straight attack"))
	}
	x := tacticsAt(t, a)
	if k, err := x.knew(mark.Left, 0); k != nil || err != nil {
		t.Errorf("before anything: %+v, %v", k, err)
	}
	k, err := x.knew(mark.Left, 2)
	if err != nil || k.Likely != bout.ChoiceCounter || k.Seen != 2 || !k.TooLittle || k.Came || !(k.ShareOfCame.Mean < k.Share.Mean) {
		t.Errorf("%+v, %v", k, err)
	}
	if c := choiceIn(t, habitIn(t, x, 2), bout.ChoiceAttack); c.Others != 8 || !(c.Share.Mean > k.ShareOfCame.Mean) {
		t.Errorf("with bouts against others: %+v", c)
	}
	a.Past = append(a.Past, act("again", "Ash", "counter"))
	x = tacticsAt(t, a)
	if k, err := x.knew(mark.Left, 0); err != nil || k.Seen != 1 || k.Likely != bout.ChoiceCounter || k.Came != true {
		t.Errorf("from an earlier bout of the two: %+v, %v", k, err)
	}
}

// TestPastIsSifted: the bout at hand, other weapons, later days and other people are no
// past of this fencer; a word of the coach counts under its own name.
func TestPastIsSifted(t *testing.T) {
	a := chosen(t, "l", "a", "")
	a.Bout.Date = "2025-06-01"
	same, foil, later, other, mute := act("this", "Ash", "counter"), act("w", "Ash", "counter"), act("d", "Ash", "counter"), act("p", "Ash", "counter"), act("m", "Ash", "")
	foil.Weapon, later.Day, other.Fencer = bout.Foil, "2025-06-02", "Cedar"
	a.Past = []Act{same, foil, later, other, mute, act("ok", "Ash", "yell")}
	h := habitIn(t, tacticsAt(t, a), 1)
	if c := choiceIn(t, h, bout.ChoiceCounter); c.Opponent+c.Others != 0 {
		t.Errorf("%+v", c)
	}
	if c := choiceIn(t, h, "yell"); c.Opponent != 1 || c.Word != "yell" || h.Kinds[len(h.Kinds)-1] != "yell" {
		t.Errorf("%+v, %v", c, h.Kinds)
	}
}

// TestHabitsSaid: every number of a sentence has a source, the course ends where the
// habit stands, and a change is told where it is.
func TestHabitsSaid(t *testing.T) {
	a := chosen(t, "lrlrdlrllrdlrlrdlrlrl", "aaacaaacaaacccpcccccp", "pcpcpcpcpcpcpcpcpcpcp")
	for _, opponent := range []string{"Ash", "Cedar"} {
		a.Past = append(a.Past, act("one", opponent, "straight attack"))
	}
	x := tacticsAt(t, a)
	if err := x.habits(); err != nil {
		t.Fatal(err)
	}
	left, right := x.out.Habits[mark.Left], x.out.Habits[mark.Right]
	if left.Order.Says != "alternates" || left.Change != nil || left.TooLittle {
		t.Errorf("left: %+v", left.Order)
	}
	c := right.Change
	if c == nil || c.Since < 11 || c.Since > 13 || c.From > 12 || c.To < 12 || !(c.Before.Mean > c.After.Mean) && c.Kind == bout.ChoiceAttack {
		t.Fatalf("right: %+v", c)
	}
	if right.Order.Says != "" { // the bunches are the change
		t.Errorf("right: %+v", right.Order)
	}
	digit := regexp.MustCompile(`[0-9]`)
	sources := map[string]bool{}
	for _, s := range x.out.Sources {
		sources[s.ID] = true
		if s.Title == "" || s.How == "" || s.Method == "" {
			t.Errorf("source %+v", s)
		}
	}
	n := 0
	for _, h := range x.out.Habits {
		for _, s := range h.Said {
			for _, p := range s {
				if p.From != "" && !sources[p.From] {
					t.Errorf("no source %s", p.From)
				}
				if p.From == "" && digit.MatchString(strings.Replace(p.Text, "at touch 22", "", 1)) {
					t.Errorf("%q of %q comes from nowhere", p.Text, s)
				}
				n++
			}
			if text := s.String(); !strings.HasSuffix(text, ".") || strings.ContainsAny(text, "!%\n") && strings.Contains(text, "%!") {
				t.Errorf("%q", text)
			}
		}
		last := h.Course[len(h.Course)-1]
		if len(h.Course) != len(x.lines)+1 || h.Course[0].Number != 0 || last.Number != 21 || !h.Course[1].TooLittle {
			t.Errorf("course of %d", len(h.Course))
		}
		before, err := x.seen(h.Who, 0, h.Situation, false)
		if err != nil {
			t.Fatal(err)
		}
		law, err := before.law()
		if err != nil {
			t.Fatal(err)
		}
		for i, choice := range h.Choices {
			if want := law.Of(slices.Index(h.Kinds, choice.Kind)); h.Course[0].Shares[i] != want {
				t.Errorf("%s began at %v, not %v", choice.Kind, h.Course[0].Shares[i], want)
			}
			if choice.Share != last.Shares[i] {
				t.Errorf("%s stands at %v, the course ends at %v", choice.Kind, choice.Share, last.Shares[i])
			}
			if i > 0 && choice.Share.Mean > h.Choices[i-1].Share.Mean {
				t.Error("not the likeliest first")
			}
		}
		if got := h.Choices[last.Chose].Kind; got != x.lines[20].Kinds[h.Who] {
			t.Errorf("last chosen %s", got)
		}
	}
	if n < 20 {
		t.Fatalf("%d pieces", n)
	}
	for _, want := range []string{"Ash changes more than chance has it: 0 repeats", "so another is to be expected"} {
		if s := fmt.Sprint(left.Said); !strings.Contains(s, want) {
			t.Errorf("%q is not said: %s", want, s)
		}
	}
}

// TestDependsIsSaid: a fencer who counters when behind and never else; the chance of a
// coincidence by hand, 1/C(16,8) each way, times the questions asked.
func TestDependsIsSaid(t *testing.T) {
	a := chosen(t, "llrrrllrrrllrrrl", "----------------", "")
	x := tacticsAt(t, a)
	n := 0
	for i := range a.Bout.Sheet {
		k := "attack"
		if x.lines[i].Situation[mark.Right].Score == "behind" {
			k = "counter"
			n++
		}
		a.Bout.Sheet[i].Choices = &bout.Choices{Right: k}
	}
	x = tacticsAt(t, a)
	if err := x.habits(); err != nil {
		t.Fatal(err)
	}
	e, err := x.seen(mark.Right, x.at, Situation{}, false)
	if err != nil {
		t.Fatal(err)
	}
	found, looked := x.depends(e)
	tables := 1.0 // C(16, n)
	for i := range n {
		tables *= float64(16-i) / float64(i+1)
	}
	extreme := 1 / tables // of the other end, where n is half of all, as well
	if n == 8 {
		extreme *= 2
	}
	if len(found) == 0 || found[0].name != "score-behind" || math.Abs(float64(found[0].byChance)/(extreme*float64(looked))-1) > 1e-6 {
		t.Fatalf("%d of %d: %+v, by hand %g", len(found), looked, found, extreme*float64(looked))
	}
	want := fmt.Sprintf("Brook chooses the counter-attack more often when behind: %d of %d times, otherwise 0 of %d; a difference of 100\u00a0points", n, n, 16-n)
	if s := fmt.Sprint(x.out.Habits[mark.Right].Said); !strings.Contains(s, want) {
		t.Errorf("%q is not said: %s", want, s)
	}
}

// TestTooLittleIsSaid: in words and as a lack; nothing written is no habit at all.
func TestTooLittleIsSaid(t *testing.T) {
	x := tacticsAt(t, chosen(t, "lrl", "ca-", ""))
	if err := x.habits(); err != nil {
		t.Fatal(err)
	}
	if x.out.Habits[mark.Left] != nil || len(x.out.Lacks) != 2 || x.out.Lacks[0].Side != mark.Left || x.out.Lacks[1].Part != PartHabit {
		t.Fatalf("%+v", x.out.Lacks)
	}
	h := x.out.Habits[mark.Right]
	if want := "Too little is seen of Brook to speak of a habit: 2 choices are written in this bout, worth"; !strings.HasPrefix(h.Said[0].String(), want) {
		t.Errorf("%s", h.Said[0])
	}
	if g := habitIn(t, x, 0); !g.TooLittle || g.Weight != 0 || len(g.Choices) != len(bout.ChoiceKinds()) || g.Choices[0].Share.Lo != 0 {
		t.Errorf("before anything: %+v", g)
	}
}

func TestKindsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		theirs []string
		at     string
	}{{[]string{"attack", "straight attack"}, "/theirs"}, {[]string{"attack"}, "/theirs"}, {[]string{"attack", ""}, "/theirs"}, {[]string{}, "/theirs"}} {
		a := chosen(t, "l", "a", "")
		a.Theirs = c.theirs
		var no *Refusal
		if err := tacticsAt(t, a).habits(); !errors.As(err, &no) || no.At != c.at || no.Mend == "" {
			t.Errorf("%v: %v", c.theirs, err)
		}
	}
	// What was not asked for is left out, and said.
	a := chosen(t, "lrlrlrlr", "acpacacp", "")
	a.Theirs = []string{"attack", "counter"}
	x := tacticsAt(t, a)
	if err := x.habits(); err != nil {
		t.Fatal(err)
	}
	h := x.out.Habits[mark.Right]
	if s := h.Said[len(h.Said)-1].String(); !strings.HasPrefix(s, "2 choices of a kind that was not asked for are left out") || len(h.Law.Mix()) != 2 {
		t.Errorf("%s", s)
	}
}

// BenchmarkHabitCourse is the habit of both sides of a bout of 29 phrases with its
// course, its change and its sentences.
func BenchmarkHabitCourse(b *testing.B) {
	r := rand.New(rand.NewPCG(29, 2))
	letters := func() string {
		s := make([]byte, 29)
		for i := range s {
			s[i] = "aaccpdw"[r.IntN(7)]
		}
		return string(s)
	}
	a := chosen(b, "lrlrlrlrlrlrlrlrlrlrlrlrlrlr-", letters(), letters())
	for range 200 {
		a.Past = append(a.Past, act("old", []string{"Ash", "Cedar"}[r.IntN(2)], []string{"counter", "riposte"}[r.IntN(2)]))
	}
	for b.Loop() {
		x := tacticsAt(b, a)
		if err := x.habits(); err != nil {
			b.Fatal(err)
		}
	}
}
