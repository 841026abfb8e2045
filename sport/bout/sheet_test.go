package bout

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// line spells a line of a sheet: L and R are single lamps, D is a double, - is
// none; after them ! annuls, and l, r, n say to whom the hit was given. Cards
// follow a colon: Ly is a yellow card for the left fencer, Rr a red one, Lk a
// black one, and Lpy, Lpr, Lpk the P-cards.
func line(spelled string) Phrase {
	lamps, cards, _ := strings.Cut(spelled, ":")
	var p Phrase
	for _, c := range lamps {
		switch c {
		case 'L':
			p.Lamps.Left = true
		case 'R':
			p.Lamps.Right = true
		case 'D':
			p.Lamps = Lamps{true, true}
		case '!':
			p.Annulled = true
		case 'l':
			p.Given = GivenLeft
		case 'r':
			p.Given = GivenRight
		case 'n':
			p.Given = GivenNobody
		}
	}
	colours := map[string]CardColour{"y": Yellow, "r": Red, "k": Black, "py": PYellow, "pr": PRed, "pk": PBlack}
	for _, c := range strings.Split(cards, ",") {
		if c == "" {
			continue
		}
		side := mark.Left
		if c[0] == 'R' {
			side = mark.Right
		}
		p.Cards = append(p.Cards, Card{side, colours[c[1:]]})
	}
	return p
}

func sheetOf(b Bout, lines string) Bout {
	for _, l := range strings.Fields(lines) {
		b.Sheet = append(b.Sheet, line(l))
	}
	return b
}

func from(left, right int) *Score { return &Score{left, right} }

// TestScoredByTheRules: articles of the FIE Technical Rules, English edition of
// 2024–25; where none is named, common practice without a source.
func TestScoredByTheRules(t *testing.T) {
	epee15, epee5 := Bout{Weapon: Epee, Touches: 15}, Bout{Weapon: Epee, Touches: 5}
	foil, sabre := Bout{Weapon: Foil, Touches: 15}, Bout{Weapon: Sabre, Touches: 15}
	at := func(b Bout, left, right int) Bout { b.Start = from(left, right); return b }
	counts := func(b Bout) Bout { b.LastDoubleCounts = true; return b }
	team := Bout{Weapon: Epee, Touches: 45}
	for _, c := range []struct {
		name   string
		b      Bout
		lines  string
		want   Score
		doubts string
	}{
		{"épée, t.92: a double is a hit against each", epee15, "L R D -", Score{2, 2}, ""},
		{"a weapon that is not noted counts as épée", Bout{Touches: 15}, "D", Score{1, 1}, ""},
		{"annulled, as after a fall (t.56)", epee15, "L! D!", Score{}, ""},
		{"pool at 4–4, t.38.1b: a double is void", at(epee5, 4, 4), "D D", Score{4, 4}, ""},
		{"pool at 4–3, t.92", at(epee5, 4, 3), "D", Score{5, 4}, ""},
		{"14–14, practice", at(epee15, 14, 14), "D D R", Score{14, 15}, ""},
		{"14–14 where the setting lets it count", counts(at(epee15, 14, 14)), "D", Score{15, 15}, "both-at-the-end"},
		{"14–13, t.40 with t.92", at(epee15, 14, 13), "D", Score{15, 14}, ""},
		{"veterans to 10 (t.42) at 9–9, practice", at(Bout{Touches: 10}, 9, 9), "D", Score{9, 9}, ""},
		{"team at 44–44, practice", at(team, 44, 44), "D", Score{44, 44}, ""},
		{"team: a relay may end level, t.41", at(team, 4, 4), "D", Score{5, 5}, ""},
		{"a hit after 15 is counted and doubted", at(epee15, 14, 3), "L L -", Score{16, 3}, "after-the-end"},

		{"foil: one lamp", foil, "L R", Score{1, 1}, ""},
		{"foil: two lamps and no decision", foil, "D", Score{}, "not-given"},
		{"foil: priority given", foil, "Dl Dr Dr", Score{1, 2}, ""},
		{"sabre: both attack, nobody has it", sabre, "Dn", Score{}, ""},
		{"foil: one lamp, but an off-target hit had priority", foil, "Ln", Score{}, ""},
		{"foil: given to the one whose lamp is out", foil, "Lr", Score{0, 1}, "given-without-lamp"},
		{"foil at 14–14 has no void double", at(foil, 14, 14), "Dl", Score{15, 14}, ""},
		{"épée does not look at the decision", epee15, "Dl", Score{1, 1}, ""},

		{"a yellow card is a warning", epee15, "-:Ly -:Ry", Score{}, ""},
		{"a red card is a hit for the opponent", epee15, "-:Lr", Score{0, 1}, ""},
		{"a second yellow is a red", epee15, "-:Ly L:Ly", Score{1, 1}, "second-yellow"},
		{"a yellow after a red is a red", epee15, "-:Lr -:Ly", Score{0, 2}, "yellow-after-red"},
		{"yellow then red, as it should be", epee15, "-:Ry -:Rr", Score{1, 0}, ""},
		{"a red card decides the bout", at(epee15, 14, 14), "D:Rr", Score{15, 14}, ""},
		{"a red card for the winner of the last hit", at(epee15, 14, 14), "L:Lr", Score{15, 15}, "both-at-the-end"},
		{"an annulled hit and a red card", epee15, "L!:Lr", Score{0, 1}, ""},
		{"a black card ends the bout", epee15, "L -:Lk R", Score{1, 1}, "after-the-end"},
		{"a card after the end is a card", at(epee15, 15, 3), "-:Ly", Score{15, 3}, ""},

		{"unwillingness, t.124: yellow, red for both, black", at(epee15, 3, 2), "-:Lpy,Rpy -:Lpr,Rpr -:Lpk", Score{4, 3}, ""},
		{"a leader at 14 wins by red P-cards", at(epee15, 14, 9), "-:Lpy,Rpy -:Lpr,Rpr", Score{15, 10}, ""},
		{"P-cards have a scale of their own", epee15, "-:Ly -:Lpy", Score{}, ""},
		{"a red P-card comes after a yellow one", epee15, "-:Lpr", Score{0, 1}, "p-order"},
		{"a black P-card comes after a red one", epee15, "-:Lpy -:Lpk", Score{}, "p-order"},
		{"a second yellow P-card", epee15, "-:Lpy -:Lpy", Score{}, "p-order"},
		{"no P-cards in a pool, t.124", epee5, "-:Lpy", Score{}, "no-p-card"},
		{"no P-cards at 14–14, t.124", at(epee15, 14, 14), "-:Lpy", Score{14, 14}, "no-p-card"},
		{"a hit after the black P-card", epee15, "-:Lpy -:Lpr -:Lpk L", Score{1, 1}, "after-the-end"},
	} {
		b := sheetOf(c.b, c.lines)
		scored := b.Scored().Sheet
		if got := scored[len(scored)-1].After; got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if got := codes(b); got != c.doubts {
			t.Errorf("%s: doubts %q, want %q", c.name, got, c.doubts)
		}
	}
}

func codes(b Bout) string {
	var all []string
	for _, d := range b.Doubts() {
		all = append(all, d.Code)
	}
	return strings.Join(all, " ")
}

// TestRelays: t.41 and o.99. A relay ends at a multiple of five, the next carries
// on what was not reached, and the clock of the ninth decides nothing here.
func TestRelays(t *testing.T) {
	b := Bout{Weapon: Epee, Touches: 45, Team: &Team{Left: []string{"A", "B", "C"}, Right: []string{"X", "Y", "Z"}}}
	b = sheetOf(b, "L:Ly L L R R -:Ly L L L L L L L -:Ly -:Ly")
	for i := range b.Sheet {
		b.Sheet[i].Period = 1
		if i >= 5 { // relay 1 ran out of time at 3–2
			b.Sheet[i].Period = 2
		}
	}
	b.Sheet[13].Period = 3 // another fencer of the team: a first yellow card
	b.Sheet[14].Period = 3
	scored := b.Scored().Sheet
	if got := scored[12].After; got != (Score{10, 2}) {
		t.Errorf("relay 2 carries on from 3–2 to %v, want 10–2", got)
	}
	if got := codes(b); got != "second-yellow" {
		t.Errorf("doubts %q: want one second yellow card, for the same fencer", got)
	}
	if d := b.Doubts(); len(d) != 1 || d[0].Line != 14 {
		t.Errorf("the doubt is on %+v", d)
	}

	b.Sheet = append(b.Sheet, line("L"))
	b.Sheet[len(b.Sheet)-1].Period = 2
	if got := codes(b); got != "second-yellow period-back after-the-relay" {
		t.Errorf("a hit in relay 2 at 10: doubts %q", got)
	}
	if !b.IsRelay() || (Bout{Touches: 15}).IsRelay() || !(Bout{Touches: 45}).IsRelay() {
		t.Error("what is a relay")
	}
}

// TestWhatRunsBackwards: periods, clock and video of a sheet go one way.
func TestWhatRunsBackwards(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []Phrase
		want  string
	}{
		{"in order", []Phrase{{Period: 1, Clock: "2:10", Video: "v", Halt: 5}, {Period: 1, Clock: "1:59.5", Video: "v", Halt: 9}, {Period: 2, Clock: "3:00", Video: "w", Halt: 1}}, ""},
		{"period", []Phrase{{Period: 2}, {Clock: "1:00"}, {Period: 1}}, "period-back"},
		{"clock", []Phrase{{Period: 1, Clock: "1:10"}, {Period: 1, Clock: "2:10"}}, "clock-back"},
		{"clock without periods", []Phrase{{Clock: "1:10"}, {Clock: "2:10"}}, ""},
		{"the extra minute", []Phrase{{Period: 3, Clock: "0:04"}, {Period: 3, Clock: "0:50"}}, ""},
		{"no clock at all", []Phrase{{Period: 1, Clock: ":"}, {Period: 1, Clock: "2:10"}}, ""},
		{"video", []Phrase{{Video: "v", Halt: 9}, {}, {Video: "v", Halt: 5}}, "video-back"},
	} {
		if got := codes(Bout{Touches: 15, Sheet: c.lines}); got != c.want {
			t.Errorf("%s: doubts %q, want %q", c.name, got, c.want)
		}
	}
}

// TestSheetInMidBout: a sheet that begins at 5–3 goes on from there.
func TestSheetInMidBout(t *testing.T) {
	b := sheetOf(Bout{Touches: 15, First: 9, Start: from(5, 3)}, "L D").Scored()
	if p := b.Sheet[1]; p.Number != 10 || p.Before != (Score{6, 3}) || p.After != (Score{7, 4}) {
		t.Errorf("the second line is %+v", p)
	}
}

// random draws a sheet of every kind of line.
func random(r *rand.Rand) Bout {
	b := Bout{Weapon: []Weapon{Epee, Foil, Sabre, ""}[r.IntN(4)], Touches: []int{0, 1, 5, 10, 15, 45}[r.IntN(6)], LastDoubleCounts: r.IntN(2) == 0}
	if r.IntN(3) == 0 {
		b.First, b.Start = r.IntN(20), from(r.IntN(15), r.IntN(15))
	}
	for range r.IntN(60) {
		p := line([]string{"L", "R", "D", "-"}[r.IntN(4)] + []string{"", "", "!", "l", "r", "n"}[r.IntN(6)])
		for range r.IntN(3) - 1 {
			p.Cards = append(p.Cards, Card{mark.Side(r.IntN(2)), []CardColour{Yellow, Red, Black, PYellow, PRed, PBlack}[r.IntN(6)]})
		}
		p.Period, p.Clock = r.IntN(12), fmt.Sprintf("%d:%02d", r.IntN(3), r.IntN(60))
		p.ID, p.Number, p.Before = fmt.Sprint(r.Uint32()), r.IntN(99), Score{r.IntN(99), r.IntN(99)} // what it said before does not count
		b.Sheet = append(b.Sheet, p)
	}
	return b
}

// chained fails unless every line takes the score from the line above, and no
// score ever falls.
func chained(t *testing.T, b Bout) {
	t.Helper()
	score, number := Score{}, max(1, b.First)
	if b.Start != nil {
		score = *b.Start
	}
	for i, p := range b.Sheet {
		if p.Number != number+i || p.Before != score || p.After.Left < score.Left || p.After.Right < score.Right {
			t.Fatalf("line %d of %d is %+v after %v", i, len(b.Sheet), p, score)
		}
		score = p.After
	}
}

// TestSheetProperties: whatever stands on a sheet, a line that is inserted,
// removed or moved leaves those above as they were and has all after it counted
// anew; to count twice changes nothing; the bout handed in stays as it was.
func TestSheetProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		b := random(r)
		was := slices.Clone(b.Sheet)
		scored := b.Scored()
		b.Doubts()
		if !reflect.DeepEqual(b.Sheet, was) {
			t.Fatal("the sheet handed in was changed")
		}
		chained(t, scored)
		if !reflect.DeepEqual(scored.Scored(), scored) {
			t.Fatal("counted twice, it changes")
		}
		if !reflect.DeepEqual(scored.Doubts(), b.Doubts()) {
			t.Fatal("doubts depend on what had been counted")
		}
		at := r.IntN(len(b.Sheet) + 1)
		more := scored
		more.Sheet = slices.Insert(slices.Clone(scored.Sheet), at, line([]string{"L", "R", "D", "-:Lr"}[r.IntN(4)]))
		more = more.Scored()
		chained(t, more)
		if !reflect.DeepEqual(more.Sheet[:at], scored.Sheet[:at]) {
			t.Fatal("a line that was inserted changed one above it")
		}
		back := more
		back.Sheet = slices.Delete(slices.Clone(more.Sheet), at, at+1)
		if back = back.Scored(); len(scored.Sheet) > 0 && !reflect.DeepEqual(back, scored) {
			t.Fatal("inserted and removed again, it is another sheet")
		}
		for _, d := range b.Doubts() {
			if d.Line < 0 || d.Line >= len(b.Sheet) || d.Code == "" || !strings.HasPrefix(d.Text, fmt.Sprintf("line %d: ", scored.Sheet[d.Line].Number)) {
				t.Fatalf("a doubt is %+v", d)
			}
		}
	}
}
