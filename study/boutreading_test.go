package study

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/chain"
)

// typed is a bout of these outcomes: l, r, d and - for nobody.
func typed(t testing.TB, to int, outcomes string) BoutAsk {
	t.Helper()
	b := bout.Bout{Weapon: bout.Epee, Touches: to, Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"}}
	lamps := map[rune]bout.Lamps{'l': {Left: true}, 'r': {Right: true}, 'd': {Left: true, Right: true}, '-': {}}
	for _, o := range outcomes {
		b.Sheet = append(b.Sheet, bout.Phrase{Lamps: lamps[o]})
	}
	lines, doubts := SheetLines(b)
	return BoutAsk{Bout: b, Lines: lines, Doubts: doubts}
}

func readBout(t testing.TB, a BoutAsk) *BoutReading {
	t.Helper()
	r, err := BoutRead(a)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// recursed is the chance to win by the definition of the bout, without a table: who
// may hit next, and from there.
func recursed(i, j, to int, p, q, d float64) float64 {
	switch {
	case i >= to:
		return 1
	case j >= to:
		return 0
	case i == to-1 && j == to-1: // a double is void (t.38.1b): the first single hit
		return p / (p + q)
	}
	return p*recursed(i+1, j, to, p, q, d) + q*recursed(i, j+1, to, p, q, d) + d*recursed(i+1, j+1, to, p, q, d)
}

// TestBoutBySecondRoute: every number of the bout is what the plain recursion makes of
// the same draws, and what chain.Over says of each score.
func TestBoutBySecondRoute(t *testing.T) {
	const to = 5
	r := readBout(t, typed(t, to, "lrd-lrdl"))
	counts := chain.Counts{Me: 3, Opponent: 2, Double: 2}
	if k := r.Rates; k.CountLeft != 3 || k.CountRight != 2 || k.CountDouble != 2 {
		t.Fatalf("counted %+v", k)
	}
	draws, err := counts.Draws(r.Draws, rand.NewPCG(r.Seed, r.Seed))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range r.Touches {
		s := x.Before.Score
		var win, imp, dbl, after float64
		for _, w := range draws {
			p, q, d := float64(w.Me), float64(w.Opponent), float64(w.Double)
			at := func(i, j int) float64 { return recursed(i, j, to, p, q, d) }
			win += at(s.Left, s.Right)
			imp += at(s.Left+1, s.Right) - at(s.Left, s.Right+1)
			if !x.Before.Void {
				dbl += at(s.Left+1, s.Right+1) - at(s.Left, s.Right)
			}
			after += at(x.Score.Left, x.Score.Right)
		}
		n := float64(len(draws))
		for what, pair := range map[string][2]float64{
			"win": {float64(x.Before.Win.Mean), win / n}, "importance": {float64(x.Before.Importance.Mean), imp / n},
			"double": {float64(x.Before.DoubleWorth.Mean), dbl / n}, "after": {float64(x.After.Mean), after / n},
			"change": {float64(x.Changed.Mean), (after - win) / n},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-12 {
				t.Errorf("touch %d, %s: %.15f, by recursion %.15f", x.Number, what, pair[0], pair[1])
			}
		}
		e, err := chain.Over(chain.Format{To: to}, draws, chain.Score{Me: s.Left, Opponent: s.Right}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if e.Win != x.Before.Win || e.Importance != x.Before.Importance || e.DoubleWorth != x.Before.DoubleWorth {
			t.Errorf("touch %d: %+v, chain.Over says %+v", x.Number, x.Before, e)
		}
	}
	if !r.Over || r.Now != nil || r.Touches[7].After.Mean != 1 {
		t.Errorf("at %v: over %v, %+v", r.Final, r.Over, r.Touches[7].After)
	}
}

// TestBoutRates: the means of a Dirichlet law, (n+½)/(N+3/2), and in foil of a Beta
// law, (n+½)/(N+1) (Gelman and others, Bayesian Data Analysis, appendix A).
func TestBoutRates(t *testing.T) {
	a := typed(t, 15, "llrdlrldrl")
	near := func(what string, q quantity.Of[quantity.Chance], want, sd float64) {
		t.Helper()
		if math.Abs(float64(q.Mean)-want) > 4*sd/math.Sqrt(boutDraws) || math.Abs(float64(q.SD)-sd) > 0.1*sd {
			t.Errorf("%s: %+v, not %.4f ± %.4f", what, q, want, sd)
		}
	}
	sd := func(p, total float64) float64 { return math.Sqrt(p * (1 - p) / (total + 1)) }
	r := readBout(t, a)
	for what, c := range map[string]struct {
		q quantity.Of[quantity.Chance]
		n float64
	}{"left": {r.Rates.Left, 5}, "right": {r.Rates.Right, 3}, "double": {r.Rates.Double, 2}} {
		p := (c.n + 0.5) / 11.5
		near(what, c.q, p, sd(p, 11.5))
	}
	foil := typed(t, 15, "llrrlrllrl")
	foil.Bout.Weapon = bout.Foil
	r = readBout(t, foil)
	near("foil", r.Rates.Left, 6.5/11, sd(6.5/11, 11))
	if r.Rates.Double.Hi != 0 {
		t.Errorf("a double in foil: %+v", r.Rates.Double)
	}
	if s := strings.Join(r.Said, " "); strings.Contains(s, "ouble") {
		t.Errorf("doubles are spoken of in foil: %s", s)
	}
}

// TestBoutSaysWhatIsNotKnown: one touch, a level bout, a void double, a relay.
func TestBoutSaysWhatIsNotKnown(t *testing.T) {
	one := readBout(t, typed(t, 15, "l"))
	if w := one.Now.Win; w.Hi-w.Lo < 0.9 {
		t.Errorf("after one touch the chance is taken for known: %+v", w)
	}
	s := strings.Join(one.Said, "\n")
	for _, want := range []string{"cannot be told from it", "Whom a double helps now cannot be told", "1 touch with a hit"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is not said: %s", want, s)
		}
	}
	level := readBout(t, typed(t, 5, "lrlrlrlrd"))
	last := level.Touches[8]
	if !last.Before.Void || last.Score != (bout.Score{Left: 4, Right: 4}) || last.Outcome != "double" || last.Changed.Mean != 0 || last.Before.DoubleWorth.Mean != 0 {
		t.Errorf("a double at 4–4: %+v", last)
	}
	if s := strings.Join(level.Said, "\n"); !strings.Contains(s, "A double is void now.") {
		t.Errorf("not said: %s", s)
	}
	relay := typed(t, 45, "lrrld")
	if s := strings.Join(readBout(t, relay).Said, "\n"); !strings.Contains(s, "one bout to 45") {
		t.Errorf("a relay: %s", s)
	}
	late := readBout(t, typed(t, 5, "lllllrr"))
	if len(late.Touches) != 5 || len(late.Doubts) != 1 || late.Doubts[0].Code != "after-the-end" || late.Doubts[0].Doubt != 2 {
		t.Errorf("after the end: %d touches, %+v", len(late.Touches), late.Doubts)
	}
	// The halt at the same score is not the one on which most hung.
	halt := readBout(t, typed(t, 5, "lrlrlrlr-l"))
	if halt.Touches[halt.Heaviest].Number != 10 {
		t.Errorf("the heaviest is touch %d", halt.Touches[halt.Heaviest].Number)
	}
}

// TestBoutIntervalsHold: bouts are drawn by known rates, and what a bout makes of them
// holds the true chance as often as it says, within three standard deviations of the
// count.
func TestBoutIntervalsHold(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: a hundred bouts are drawn and read")
	}
	rates := chain.Rates{Me: 0.40, Opponent: 0.35, Double: 0.25}
	k, err := chain.New(chain.Format{To: 15}, rates)
	if err != nil {
		t.Fatal(err)
	}
	const bouts = 100
	src, held := rand.New(rand.NewPCG(7, 7)), 0
	for range bouts {
		l, r, outcomes := 0, 0, ""
		for l < 15 && r < 15 {
			switch u := src.Float64(); {
			case u < 0.40:
				l, outcomes = l+1, outcomes+"l"
			case u < 0.75:
				r, outcomes = r+1, outcomes+"r"
			default:
				if outcomes += "d"; l < 14 || r < 14 {
					l, r = l+1, r+1
				}
			}
		}
		if readBout(t, typed(t, 15, outcomes)).Start.Win.Covers(k.Win(chain.Score{})) {
			held++
		}
	}
	if least := 0.95*bouts - 3*math.Sqrt(0.95*0.05*bouts); float64(held) < least {
		t.Errorf("%d of %d intervals hold the chance, at least %.0f should", held, bouts, least)
	}
}

func TestBoutRefusals(t *testing.T) {
	twice := typed(t, 15, "lr")
	twice.Bout.Right.Name = "Ash"
	nowhere := typed(t, 0, "lr")
	for what, c := range map[string]struct {
		ask  BoutAsk
		want string
	}{
		"empty": {typed(t, 15, ""), "no touch that ended in a hit"}, "halts": {typed(t, 15, "--"), "no touch that ended in a hit"},
		"the same": {twice, "nobody fences themselves"}, "no format": {nowhere, "0"},
		"endless": {typed(t, 15, strings.Repeat("-", boutLines+1)), "501 lines"},
	} {
		_, err := BoutRead(c.ask)
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(err.Error(), c.want) || r.Mend == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// TestSheetLines: cards are no hits of a phrase, an annulled hit is none, and a score
// that the touches do not make is doubted.
func TestSheetLines(t *testing.T) {
	l, both := bout.Lamps{Left: true}, bout.Lamps{Left: true, Right: true}
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Sheet: []bout.Phrase{
		{Lamps: l, Cards: []bout.Card{{To: mark.Left, Colour: bout.Red}}},
		{Lamps: both, Annulled: true},
		{Lamps: both, After: bout.Score{Left: 3, Right: 2}},
	}}
	lines, doubts := SheetLines(b)
	for i, want := range []BoutLine{
		{Number: 1, After: bout.Score{Left: 1, Right: 1}, Hit: l},
		{Number: 2, Before: bout.Score{Left: 1, Right: 1}, After: bout.Score{Left: 1, Right: 1}},
		{Number: 3, Before: bout.Score{Left: 1, Right: 1}, After: bout.Score{Left: 2, Right: 2}, Hit: both},
	} {
		if lines[i] != want {
			t.Errorf("line %d: %+v, not %+v", i+1, lines[i], want)
		}
	}
	if len(doubts) != 1 || doubts[0].Code != "score-does-not-follow" || !strings.Contains(doubts[0].Text, "3–2") {
		t.Errorf("doubts: %+v", doubts)
	}
	b.Weapon, b.Sheet = bout.Foil, []bout.Phrase{{Lamps: both, Given: bout.GivenRight}}
	if lines, _ := SheetLines(b); lines[0].Hit != (bout.Lamps{Right: true}) {
		t.Errorf("foil: %+v", lines[0])
	}
}
