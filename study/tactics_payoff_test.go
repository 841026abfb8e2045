package study

import (
	"errors"
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/payoff"
)

// payoffBout is an invented bout: for each touch the choices of both and who hit.
func payoffBout(choices ...[3]string) bout.Bout {
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: "Ada Brand", Sex: "f", Level: "club"}, Right: bout.Fencer{Name: "Mia Castell", Sex: "f", Level: "club"}}
	for i, c := range choices {
		p := bout.Phrase{ID: string(rune('a' + i)), Number: i + 1, Choices: &bout.Choices{Left: c[0], Right: c[1]}, Measure: "medium"}
		p.Lamps.Left = c[2] == "left" || c[2] == "double"
		p.Lamps.Right = c[2] == "right" || c[2] == "double"
		b.Sheet = append(b.Sheet, p)
	}
	return b
}

func payoffOf(t *testing.T, ask TacticsAsk) *Tactics {
	t.Helper()
	if ask.Draws == 0 {
		ask.Draws = 60
	}
	x, err := TacticsOf(ask)
	if err != nil {
		t.Fatal(err)
	}
	if x.Payoff == nil {
		t.Fatalf("no payoff: %+v", x.Lacks)
	}
	return x
}

// Every number in a sentence about payoffs comes from a source that is listed.
func TestPayoffNumbersHaveSources(t *testing.T) {
	x := payoffOf(t, TacticsAsk{For: mark.Left, Bout: payoffBout([3]string{"attack", "parry", "right"}, [3]string{"feint-attack", "parry", "left"}, [3]string{"counter", "attack", "left"}, [3]string{"attack", "my own trick", "double"})})
	listed := map[string]bool{}
	for _, s := range x.Sources {
		listed[s.ID] = true
	}
	for _, s := range x.Payoff.Said {
		for _, p := range s {
			if p.From == "" && strings.Contains(p.Text, " %") || p.From != "" && !listed[p.From] {
				t.Errorf("%q in %q comes from %q", p.Text, s, p.From)
			}
		}
	}
	for i, row := range x.Payoff.Cells {
		for j, c := range row {
			if !listed[c.Source] || c.How == "" {
				t.Errorf("cell %d, %d: %+v", i, j, c)
			}
			sum := c.Model.Me + c.Model.Double + c.Model.Opponent + c.Model.Nothing
			if own := x.Payoff.Theirs[j] == "my own trick"; own != (c.Sure == 0) || !own && math.Abs(float64(sum)-1) > 1e-9 {
				t.Errorf("cell %d, %d: %+v", i, j, c)
			}
		}
	}
}

// payoffAt is an invented bout of two equals that stands so, without a word about
// choices: four hits each and four doubles came before.
func payoffAt(left, right, to int) bout.Bout {
	b := payoffBout()
	b.Touches = to
	for i := range 12 {
		p := bout.Phrase{ID: string(rune('a' + i)), Number: i + 1}
		p.Lamps = [3]bout.Lamps{{Left: true}, {Right: true}, {Left: true, Right: true}}[i%3]
		b.Sheet = append(b.Sheet, p)
	}
	b.Start = &bout.Score{Left: left - 8, Right: right - 8}
	return b
}

// The sign of a double is that of the lead, and a double is void at one hit from the end
// for both (T22 of the trade's rules; figures G13).
func TestPayoffDoubleAtTheScore(t *testing.T) {
	for _, c := range []struct{ left, right, sign int }{{13, 10, 1}, {10, 13, -1}, {14, 13, 1}, {14, 14, 0}} {
		x := payoffOf(t, TacticsAsk{For: mark.Left, Bout: payoffAt(c.left, c.right, 15)})
		if x.Score != (bout.Score{Left: c.left, Right: c.right}) {
			t.Fatalf("the bout stands %v", x.Score)
		}
		d := float64(x.Payoff.Stakes.Double.Mean)
		if c.sign == 0 && d != 0 || c.sign != 0 && d*float64(c.sign) < 0.003 {
			t.Errorf("at %d–%d a double changes %.3f", c.left, c.right, d)
		}
	}
}

// Who holds the priority may wait, who does not must go (T23; t.40.3 of the FIE's
// Technical Rules): with seconds left in the extra minute, the worth of two who wait is
// that of the lot, and the mix of the game goes more often without it.
func TestPayoffPriorityMustAct(t *testing.T) {
	row := func(priority string) (*Tactics, float64) {
		b := payoffAt(12, 12, 15)
		x := payoffOf(t, TacticsAsk{For: mark.Left, Bout: b, Clock: &ClockAsk{Left: 10, Priority: priority}})
		goes := 0.0
		for i, k := range x.Payoff.Mine {
			if planOf(k).Goes() && k != bout.ChoiceCounterTime {
				goes += float64(x.Payoff.Play.Even[i])
			}
		}
		return x, goes
	}
	holds, waitsMay := row("left")
	lacks, goesMust := row("right")
	wait := places(holds.Payoff.Mine)[bout.ChoiceDistance]
	parry := places(holds.Payoff.Theirs)[bout.ChoiceParry]
	if w := holds.Payoff.Table[wait][parry].Mean; w < 0.8 {
		t.Errorf("who holds the priority and waits wins with %.2f", w)
	}
	if w := lacks.Payoff.Table[wait][parry].Mean; w > 0.2 {
		t.Errorf("who lacks the priority and waits wins with %.2f", w)
	}
	if goesMust < waitsMay+0.05 {
		t.Errorf("goes %.2f without the priority, %.2f with it", goesMust, waitsMay)
	}
}

// Counts outweigh the model as they grow, and fade as habits do: a pair that was seen
// often is not what race and windows say of it.
func TestPayoffCountsOutweighTheModel(t *testing.T) {
	var met [][3]string
	for range 25 {
		met = append(met, [3]string{"attack", "parry", "left"})
	}
	b := payoffBout(met...)
	b.Touches = 45
	share := func(weight quantity.Chance) (PayoffCell, quantity.Chance) {
		x := payoffOf(t, TacticsAsk{For: mark.Left, Bout: b, Weight: &weight})
		i, j := places(x.Payoff.Mine)["attack"], places(x.Payoff.Theirs)["parry"]
		return x.Payoff.Cells[i][j], x.Payoff.Ends[i][j].Me.Mean
	}
	cell, half := share(0.5)
	_, counts := share(0)
	_, model := share(1)
	if len(cell.Touches) != 25 || cell.Seen.Me < 10 || cell.Seen.Me > 25 || cell.Sure > ModelSure {
		t.Errorf("%+v", cell)
	}
	if math.Abs(float64(model-cell.Model.Me)) > 1e-9 || counts < 0.85 {
		t.Errorf("the model alone says %.2f of %.2f, the counts alone %.2f", model, cell.Model.Me, counts)
	}
	// The Dirichlet mean by hand: (k·m + n)/(k + Σn).
	n := cell.Seen
	want := (cell.Sure*float64(cell.Model.Me) + n.Me) / (cell.Sure + n.Me + n.Double + n.Opponent + n.Nothing)
	if math.Abs(float64(half)-want) > 1e-9 {
		t.Errorf("both together %.4f, by hand %.4f", half, want)
	}
}

// The measure comes from the touch, else the ask, else the sheet, else what was usual.
func TestPayoffMeasure(t *testing.T) {
	b := payoffBout([3]string{"attack", "parry", "right"}, [3]string{"attack", "parry", "right"}, [3]string{"attack", "parry", "left"})
	b.Sheet[2].Measure = "long"
	from := func(ask TacticsAsk) (float64, string) {
		ask.For = mark.Left
		x := payoffOf(t, ask)
		return float64(x.Payoff.Gap.Mean), x.Payoff.GapFrom
	}
	gap := quantity.Normal[quantity.Metres](1.3, 0.05)
	for _, c := range []struct {
		ask  TacticsAsk
		mean float64
		from string
	}{
		{TacticsAsk{Bout: b, At: 3}, 1.95, GapSheet}, {TacticsAsk{Bout: b}, 0.975, GapUsual}, {TacticsAsk{Bout: b, At: 3, Gap: &gap}, 1.3, GapAsked},
		{TacticsAsk{Bout: b, At: 3, Seen: []SeenTouch{{ID: "t", Line: b.Sheet[2].ID, Gap: &gap}}}, 1.3, GapMeasured},
	} {
		if mean, from := from(c.ask); math.Abs(mean-c.mean) > 1e-9 || from != c.from {
			t.Errorf("%.3f %s, not %.3f %s", mean, from, c.mean, c.from)
		}
	}
}

// What cannot be said is lacking, with a reason, and what cannot be asked is refused.
func TestPayoffLacksAndRefuses(t *testing.T) {
	foil := payoffBout([3]string{"attack", "parry", "right"})
	foil.Weapon = bout.Foil
	over := payoffAt(15, 12, 15)
	for _, b := range []bout.Bout{foil, over} {
		x, err := TacticsOf(TacticsAsk{For: mark.Left, Bout: b, Draws: 40})
		if err != nil {
			t.Fatal(err)
		}
		lack := false
		for _, l := range x.Lacks {
			lack = lack || l.Part == PartPayoff && l.Why != ""
		}
		if x.Payoff != nil || !lack {
			t.Errorf("%s at %v: %+v", b.Weapon, x.Score, x.Lacks)
		}
	}
	var refused *Refusal
	nine := []string{"a", "b", "c", "d", "e", "f", "g", "h", "i"}
	one := quantity.Chance(1)
	for _, ask := range []TacticsAsk{{Mine: nine}, {Mine: []string{"a", "b"}, Weight: &one}} {
		ask.Bout, ask.Draws = payoffBout([3]string{"attack", "parry", "right"}), 40
		if _, err := TacticsOf(ask); !errors.As(err, &refused) || refused.Mend == "" {
			t.Errorf("%v", err)
		}
	}
}

// The gap of a reading is that of the instant from which its race starts, each fencer's
// own where both are measured; figures of a fencer's own take the place of the defaults.
func TestPayoffTakesTheReadingAndOwnFigures(t *testing.T) {
	b := payoffBout([3]string{"attack", "parry", "right"})
	gap := func(s mark.Side, m quantity.Metres) Gap {
		return Gap{Of: s, Target: mark.Chest, Gap: quantity.Normal(m, 0.02)}
	}
	r := &Reading{Race: &Race{Take: "live", Frame: 3}, Instants: []Instant{
		{Take: "live", Frame: 2, Gaps: []Gap{gap(mark.Left, 2)}}, {Take: "live", Frame: 3, Gaps: []Gap{gap(mark.Left, 1.25), gap(mark.Right, 1.15)}}}}
	cell := func(ask TacticsAsk) (*Payoff, payoff.Shares) {
		x := payoffOf(t, ask)
		return x.Payoff, x.Payoff.Cells[places(x.Payoff.Mine)["attack"]][places(x.Payoff.Theirs)["parry"]].Model
	}
	for _, c := range []struct {
		who  mark.Side
		want float64
	}{{mark.Left, 1.25}, {mark.Right, 1.15}} {
		if p, _ := cell(TacticsAsk{Bout: b, For: c.who, Reading: r}); p.GapFrom != GapMeasured || math.Abs(float64(p.Gap.Mean)-c.want) > 1e-12 {
			t.Errorf("%s begins at %v, %s", c.who, p.Gap, p.GapFrom)
		}
	}
	_, usual := cell(TacticsAsk{Bout: b, For: mark.Left, Reading: r})
	b.Right.Own = append(b.Right.Own, bout.Own{Name: figLateral, Value: 0.40, SD: 0.03})
	_, slow := cell(TacticsAsk{Bout: b, For: mark.Left, Reading: r})
	if slow.Me < usual.Me+0.2 {
		t.Errorf("against a parry of 400 ms the attack hits in %.2f, usually in %.2f", slow.Me, usual.Me)
	}
}
