package summary

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/tactics/payoff"
)

// tactical are the tactics that the tests of package chart write.
func tactical(t testing.TB) *study.Tactics {
	t.Helper()
	b, err := os.ReadFile("../testdata/tactics.json")
	if err != nil {
		t.Fatal(err)
	}
	x := &study.Tactics{}
	if err := json.Unmarshal(b, x); err != nil {
		t.Fatal(err)
	}
	return x
}

// TestTacticsArePrintedAsThePicturesPrintThem: every number once, by plate.FigureOf.
func TestTacticsArePrintedAsThePicturesPrintThem(t *testing.T) {
	x := tactical(t)
	s := TacticsOf(x)
	if s.At != 15 || s.Names != [2]string{"Ash", "Brook"} || s.To != 15 || s.Weapon != "epee" || s.Seed != "1" {
		t.Errorf("%+v", s)
	}
	n := 0
	same := func(what string, got Number, want string) {
		n++
		if got.Text != want {
			t.Errorf("%s is %q, the pictures say %q", what, got.Text, want)
		}
	}
	for _, h := range s.Habits {
		for i, c := range h.Choices {
			same("habit of "+c.Kind, c.Share, plate.Percent(x.Habits[h.Who].Choices[i].Share))
		}
	}
	p := x.Payoff
	for i, m := range s.Payoff.Mine {
		same(m.Kind, m.Worth, plate.Percent(p.Standings[i].Worth))
		for j := range s.Payoff.Theirs {
			c := s.Payoff.Grid[i][j]
			same(m.Kind, c.Worth, plate.Percent(p.Table[i][j]))
			same(m.Kind, c.Ends.Double, plate.Percent(p.Ends[i][j].Double))
			if want := plate.SeenIn(p.Cells[i][j].Seen); (want == 0) != (c.SeenAll.Value == "0") {
				t.Errorf("seen %v is printed %q", want, c.SeenAll.Text)
			}
		}
	}
	same("ahead", s.Payoff.Ahead, plate.FigureOf(p.Reply.Ahead, plate.InShares).Text)
	same("gap", s.Payoff.Gap, plate.Metres(p.Gap))
	if n < 40 {
		t.Errorf("%d numbers were checked", n)
	}
	crossings := s.Payoff.Balances[0].Crossings
	for _, b := range p.Balance {
		if b.Choice != p.Balances[0].Their {
			continue
		}
		if len(crossings) == 0 || crossings[0].Above != b.Above {
			t.Fatalf("the crossings are %+v", s.Payoff.Balances[0].Crossings)
		}
		same("a crossing", crossings[0].Share, plate.Percent(b.Share))
		crossings = crossings[1:]
	}
	if got := s.Thread[14]; !got.Asked || got.Sides[mark.Left].Word != "feint and attack" || got.Sides[mark.Left].Knew.LikelyWord != "parry and riposte" || got.Word != "right hit" {
		t.Errorf("the touch asked about is %+v", got)
	}
	if s.Story[1][1].From != "habit-right" || s.Sources[0].ID != "habit-right" || len(s.Sources[0].Bouts) != 1 {
		t.Errorf("the story is %+v, its sources %+v", s.Story, s.Sources)
	}
	if s.Lacks[0] != (Lack{study.PartHabit, "left", "Too little is seen of Ash at this score", "Note what both chose in earlier bouts"}) {
		t.Errorf("lacking is %+v", s.Lacks)
	}
	if !reflect.DeepEqual(s.Charts, TacticsCharts) {
		t.Errorf("the charts are %v", s.Charts)
	}
}

// TestTacticsWithoutPartsHaveNoNulls: for the browser a list is a list, whatever is
// missing.
func TestTacticsWithoutPartsHaveNoNulls(t *testing.T) {
	short := &study.Payoff{Advice: payoff.Advice{Mine: []string{"attack"}, Theirs: []string{"parry", "an own word"}, Next: []payoff.Next{{Choice: 4}}}, Balances: []study.BalanceCourse{{Their: 7}}}
	for name, x := range map[string]*study.Tactics{
		"nothing": {},
		"bare":    {Thread: []study.ThreadTouch{{}}, Habits: [2]*study.Habit{{}, nil}, Payoff: &study.Payoff{}, Sources: []study.Source{{}}},
		"short":   {Payoff: short, Thread: []study.ThreadTouch{{Knew: [2]*study.Knew{{}, nil}}}},
		"whole":   tactical(t),
	} {
		b, err := json.Marshal(TacticsOf(x))
		if err != nil {
			t.Fatal(err)
		}
		if i := bytes.Index(b, []byte("null")); i >= 0 {
			t.Errorf("%s has a null: …%s…", name, b[max(0, i-60):i+4])
		}
	}
	if TacticsOf(nil) != nil {
		t.Error("nothing is printed as something")
	}
	got := TacticsOf(&study.Tactics{Payoff: short}).Payoff
	if got.Theirs[1].Word != "an own word" || got.Grid[0][1].Worth.Known() || got.Grid[0][0].Model != nil {
		t.Errorf("what is not known is printed as %+v", got.Grid)
	}
}

// TestTacticsAreNotChangedByPrinting, and apostrophes are typeset.
func TestTacticsAreNotChangedByPrinting(t *testing.T) {
	x := tactical(t)
	s := TacticsOf(x)
	if !reflect.DeepEqual(x, tactical(t)) {
		t.Error("printing changes what is printed")
	}
	all, _ := json.Marshal(s.Story)
	if !strings.Contains(string(all), "Brook’s") {
		t.Errorf("the story is %s", all)
	}
	x.Habits[mark.Left].Choices[0].Share = quantity.Normal[quantity.Chance](0.9999, 0.0001)
	if got := TacticsOf(x).Habits[0].Choices[0].Share.Text; !strings.HasPrefix(got, ">\u00a099") {
		t.Errorf("certainty is printed %q", got)
	}
}
