package payoff

import (
	"math"
	"testing"

	"mesure/quantity"
)

// TestNext follows the tactical circle with the opponent's eyes: who has shown the
// simple attack is answered by the parry-riposte, so that what beats the
// parry-riposte, the compound attack, wins if they answer what was shown (figures
// 2d). Each choice owes the most to the one it beats.
func TestNext(t *testing.T) {
	s := circle()
	s.Habit, s.Shown = seen(9, 5, 3, 2), seen(20, 1, 1, 1)
	a := advise(t, s, 100)
	if e := a.Expected; e == nil || e.Choice != 0 || e.Answer != 1 || e.Likely.Mean != 1 || e.TooLittle {
		t.Fatalf("%+v", a.Expected)
	}
	if len(a.Next) != Best {
		t.Fatalf("%d choices are named", len(a.Next))
	}
	for k, n := range a.Next {
		if k > 0 && n.Worth.Mean > a.Next[k-1].Worth.Mean {
			t.Errorf("choice %d is worth more than the one before it", k+1)
		}
		if want := (n.Choice + 3) % 4; n.Pays != want {
			t.Errorf("%s pays against %s", s.Mine[n.Choice], s.Theirs[n.Pays])
		}
		near(t, "worth against it", float64(n.PaysWorth.Mean), 1, 1e-9)
		want := map[int]float64{0: 0, 1: .5, 2: 1, 3: .5}[n.Choice]
		near(t, "foreseen", float64(n.Foreseen.Mean), want, 1e-9)
		near(t, "shown", float64(n.Shown.Mean), float64(s.Shown.Of(n.Choice).Mean), 1e-12)
		// hit alone as often as they make the choice that beats it, half the bout each time
		near(t, "hit against", float64(n.Ends.Opponent.Mean), float64(s.Habit.Of((n.Choice+1)%4).Mean), 1e-9)
		near(t, "cost", float64(n.Cost.Mean), .5, 1e-12)
		near(t, "risk", float64(n.Risk.Mean), .5*float64(n.Ends.Opponent.Mean), 1e-12)
		near(t, "spread of the risk", float64(n.Risk.SD), .5*float64(n.Ends.Opponent.SD), 1e-12)
	}
	if n := advise(t, sure(penalties([][]float64{{.5, .5}, {.5, .5}})), 100); len(n.Next) != 2 || n.Expected != nil || n.Next[0].Shown != nil {
		t.Errorf("%+v", n.Next)
	}
}

// TestSpreadOfTheScore: where the values come as draws, so does what a hit and a
// double change.
func TestSpreadOfTheScore(t *testing.T) {
	s := wrist()
	s.Values = []Values{{.7, .62, .5, .6}, {.7, .66, .46, .6}}
	a := advise(t, s, 100)
	sd := .02 * math.Sqrt(100./99)
	near(t, "double", float64(a.Next[0].Double.Mean), .04, 1e-12)
	near(t, "its spread", float64(a.Next[0].Double.SD), sd, 1e-9)
	near(t, "cost", float64(a.Next[0].Cost.Mean), .12, 1e-12)
	near(t, "its spread", float64(a.Next[0].Cost.SD), sd, 1e-9)
	if a.After.Double.Lo != .62 || a.After.Double.Hi != .66 || a.After.Me != quantity.Exactly(quantity.Chance(.7)) {
		t.Errorf("%+v", a.After)
	}
}
