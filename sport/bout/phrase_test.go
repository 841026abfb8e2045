package bout

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// phrase reads "L attack 0-9; R sixte 6-10": who, word, frames of one take.
func phrase(t testing.TB, text string) WrittenPhrase {
	t.Helper()
	var p WrittenPhrase
	for i, part := range strings.Split(text, ";") {
		fields := strings.Fields(part)
		a := Action{ID: fmt.Sprintf("a%d", i+1), Take: "t", Word: strings.Join(fields[1:len(fields)-1], " "), Line: "blade"}
		if fields[0] == "R" {
			a.Who = mark.Right
		}
		if w, ok := (Vocabulary{}).Word(a.Word); ok {
			a.Line = w.Lines[0]
		}
		if _, err := fmt.Sscanf(fields[len(fields)-1], "%d-%d", &a.From, &a.To); err != nil {
			t.Fatalf("%q: %v", part, err)
		}
		p.Actions = append(p.Actions, a)
	}
	return p
}

func phraseCodes(all []PhraseWarning) []string {
	out := []string{}
	for _, w := range all {
		out = append(out, w.Code+" "+w.Article)
	}
	return out
}

// What the technical rules define, each once as the definition has it (no warning)
// and once against it. Source: FIE technical rules, English edition of 2025, t.9 to
// t.15; t.84.1, t.102.1, t.101.5, t.90 for the weapons.
func TestGrammarByTheRules(t *testing.T) {
	for _, c := range []struct {
		weapon Weapon
		text   string
		want   []string
	}{
		// t.9.1: the riposte is of the fencer who has parried the attack.
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15", nil},
		{Epee, "L attack 0-9; R quarte 6-10; R riposte 11-15", nil},
		{Epee, "R riposte 6-15; R sixte 6-10; L attack 0-9", nil}, // on one frame the parry comes first
		{Epee, "L attack 0-9; R riposte 11-15", []string{"riposte-without-parry t.9.1"}},
		{Epee, "L attack 0-9; L parry 6-10; R riposte 11-15", []string{"parry-without-threat t.9.2", "riposte-without-parry t.9.1"}},
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15; R riposte 17-20", []string{"parry-used-up t.9.1"}},
		// t.9.1: the counter-riposte is of the one who has parried the riposte.
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15; L parry 14-16; L counter-riposte 17-20", nil},
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15; L parry 14-16; L riposte 17-20", []string{"riposte-of-riposte t.9.1"}},
		{Epee, "L attack 0-9; R parry 6-10; R counter-riposte 11-15", []string{"counter-riposte-of-attack t.9.1"}},
		{Epee, "L attack 0-9; R counter-riposte 11-15", []string{"counter-riposte-without-parry t.9.1"}},
		// A counter-riposte that is parried is answered by one more.
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15; L parry 14-16; L counter-riposte 17-20; R octave 19-21; R counter-riposte 22-25", nil},
		// t.9.2: a parry keeps an offensive action from arriving.
		{Epee, "R parry 6-10", []string{"parry-without-threat t.9.2"}},
		{Epee, "L feint 0-9; R parry 6-10", nil},
		// t.9.1, t.12: the attack is the initial action; what goes into it is a counter-attack.
		{Epee, "L attack 0-9; R attack 4-10", []string{"attack-into-attack t.12"}},
		{Epee, "L attack 0-9; R counter-attack 4-10", nil},
		{Epee, "L attack 0-9; R stop hit 4-10", nil},
		{Epee, "L attack 0-9; R attack 0-9", nil}, // t.89.2: simultaneous
		{Epee, "L attack 0-9; R step back 4-9; R attack 12-20", nil},
		{Epee, "L attack 0-9; R attack 12-20", nil}, // the first has ended
		{Epee, "L attack 0-9; R parry 3-6; R attack 7-10", []string{"attack-after-parry t.9.1"}},
		{Epee, "L attack 0-9; R parry 3-6; L recovery 10-15; R attack 17-25", nil},
		{Epee, "R counter-attack 4-10", []string{"counter-attack-without-attack t.12"}},
		{Epee, "L attack 0-9; R counter-attack 12-20", []string{"counter-attack-too-late t.12"}},
		{Epee, "L attack 0-9; R parry 3-6; R time hit 7-20", []string{"counter-attack-after-parry t.9.1"}},
		// t.13.1: at once, the arm not drawn back.
		{Epee, "L attack 0-9; R parry 6-10; L remise 12-15", nil},
		{Epee, "L remise 12-15", []string{"remise-without-attack t.13.1"}},
		{Epee, "L attack 0-9; R parry 6-10; L withdrawal 10-11; L remise 12-15", []string{"remise-after-withdrawal t.13.1"}},
		{Epee, "L attack 0-9; R parry 6-10; L recovery 10-13; L remise 14-15", []string{"remise-after-guard t.13.3"}},
		// t.13.2: against one who has parried without riposting, or only avoided.
		{Epee, "L attack 0-9; R parry 6-10; L redoublement 12-15", nil},
		{Epee, "L attack 0-9; R step back 6-10; L redoublement 12-15", nil},
		{Epee, "L attack 0-9; R duck 6-10; L redoublement 12-15", nil},
		{Epee, "L attack 0-9; R parry 6-10; R riposte 11-15; L redoublement 16-19", []string{"redoublement-after-riposte t.13.2"}},
		{Epee, "L attack 0-9; L redoublement 12-15", []string{"redoublement-of-nothing t.13.2"}},
		{Epee, "R attack 0-9; L redoublement 12-15", []string{"redoublement-without-attack t.13.2"}},
		{Epee, "L attack 0-9; L attack 12-15", []string{"attack-again t.13"}},
		// t.13.3: after a return to guard.
		{Epee, "L attack 0-9; R step back 6-10; L recovery forward 10-14; L reprise 15-19", nil},
		{Epee, "L attack 0-9; R step back 6-10; L reprise 15-19", []string{"reprise-without-guard t.13.3"}},
		// t.13.4: of the attacker, against a stop hit.
		{Epee, "L false attack 0-9; R stop hit 4-12; L counter-time 8-15", nil},
		{Epee, "L false attack 0-9; R parry 4-12; L counter-time 8-15", []string{"counter-time-without-counter-attack t.13.4"}},
		{Epee, "R stop hit 4-12; L counter-time 8-15", []string{"counter-attack-without-attack t.12", "counter-time-without-attack t.13.4"}},
		// The line is there before the attack (t.84.1, t.102.1).
		{Foil, "R point in line 0-20; L attack 5-15", nil},
		{Foil, "L attack 0-15; R point in line 5-20", []string{"line-into-attack t.84.1"}},
		{Foil, "L attack 0-15; R step back 2-5; R point in line 6-20", nil},
		{Sabre, "L attack 0-15; R point in line 5-20", []string{"line-into-attack t.102.1"}},
		// A derobement escapes a search (t.84.2).
		{Foil, "R point in line 0-20; L beat 5-7; R derobement 6-8", nil},
		{Foil, "R point in line 0-20; R derobement 6-8", []string{"escape-from-nothing t.84.2"}},
		// The weapons.
		{Sabre, "L flèche 0-9", []string{"other-weapon t.101.5"}},
		{Epee, "L flèche 0-9", nil},
		{Epee, "L cut 0-9", []string{"other-weapon t.90.1"}},
		{Foil, "L cut 0-9", []string{"other-weapon t.76.1"}},
		{Sabre, "L cut 0-9", nil},
		{Foil, "R step forward 0-5; L attack on preparation 3-9", nil},
		{Foil, "L attack on preparation 3-9", []string{"no-preparation t.83.2"}},
		{Epee, "L hit 3-3", []string{"end-without-threat "}},
		{Epee, "L lunge 0-8; R bind 4-6; L yielding parry 5-8", nil},
		{Epee, "R attack 0-9; L yielding parry 5-8", []string{"yields-to-nothing "}},
		// Other languages, own words: what nobody knows may be what is needed.
		{Epee, "L Angriff 0-9; R Parade 6-10; R risposta 11-15", nil},
		{Epee, "L attack 0-9; R big sweep 6-10; R riposte 11-15", []string{"own-word "}},
	} {
		p := phrase(t, c.text)
		p.Weapon = c.weapon
		got := p.Warnings(Vocabulary{}, nil)
		if !slices.Equal(phraseCodes(got), c.want) && !(len(got) == 0 && c.want == nil) {
			t.Errorf("%s, %q: %v, not %v", c.weapon, c.text, got, c.want)
		}
		for _, w := range got {
			if w.Text == "" || w.ActionID == "" || strings.ContainsAny(w.Text, "\n%") {
				t.Errorf("%q: %+v", c.text, w)
			}
		}
	}
}

func TestGrammarOfNotes(t *testing.T) {
	text := "L attack 0-9; R parry 6-10; R riposte 11-15"
	for _, c := range []struct {
		weapon Weapon
		note   PhraseNote
		want   string
	}{
		{Epee, PhraseNote{ActionID: "a1", Result: Parried, Nature: Real, Intention: FirstIntention, Target: mark.Hand, Line: "sixte"}, ""},
		{Epee, PhraseNote{ActionID: "a3", Result: Parried}, "parried-by-nobody t.9.2"},
		{Epee, PhraseNote{ActionID: "a1", Intention: SecondIntention}, "second-intention-alone "},
		{Epee, PhraseNote{ActionID: "a2", Intention: SecondIntention}, ""},
		{Epee, PhraseNote{ActionID: "a3", Nature: Feigned, Result: Arrived}, "feint-hits "},
		{Epee, PhraseNote{ActionID: "a3", Target: mark.Foot, Result: OffTarget}, "all-is-target t.91"},
		{Epee, PhraseNote{ActionID: "a3", Target: mark.Foot, Result: Arrived}, ""},
		{Foil, PhraseNote{ActionID: "a3", Target: mark.Hand, Result: Arrived}, "not-a-target t.77"},
		{Sabre, PhraseNote{ActionID: "a3", Target: mark.Hand, Result: Arrived}, ""},
		{Sabre, PhraseNote{ActionID: "a3", Target: mark.Knee, Result: Arrived}, "not-a-target t.97.1"},
		{Epee, PhraseNote{ActionID: "a3", Nature: "cunning"}, "unknown-nature "},
		{Epee, PhraseNote{ActionID: "a3", Intention: "third"}, "unknown-intention "},
		{Epee, PhraseNote{ActionID: "a3", Result: "glory"}, "unknown-result "},
		{Epee, PhraseNote{ActionID: "gone"}, "note-without-action "},
	} {
		p := phrase(t, text)
		p.Weapon, p.Notes = c.weapon, []PhraseNote{c.note}
		if got := strings.Join(phraseCodes(p.Warnings(Vocabulary{}, nil)), ", "); got != c.want {
			t.Errorf("%s, %+v: %q, not %q", c.weapon, c.note, got, c.want)
		}
	}
	p := phrase(t, "L attack 0-9; R quarte 6-10")
	p.Notes = []PhraseNote{{ActionID: "a2", Line: "Sixt"}, {ActionID: "a2"}}
	if got := phraseCodes(p.Warnings(Vocabulary{}, nil)); !slices.Equal(got, []string{"two-notes ", "two-lines "}) {
		t.Errorf("two notes, two lines: %v", got)
	}
}

func TestPriorityIsTheCoachsCall(t *testing.T) {
	p := phrase(t, "L attack 0-9; R stop hit 4-10")
	for _, w := range []Weapon{Foil, Sabre} {
		p.Weapon, p.Priority = w, ""
		if told := p.Sentence(Vocabulary{}, nil, "Anna", "Ben"); strings.Contains(told, "priority") {
			t.Errorf("%s: a priority nobody called: %q", w, told)
		}
		p.Priority = GivenRight
		if told := p.Sentence(Vocabulary{}, nil, "Anna", "Ben"); !strings.HasSuffix(told, "by the coach's own call the priority is with Ben.") || len(p.Warnings(Vocabulary{}, nil)) != 0 {
			t.Errorf("%s: %q", w, told)
		}
	}
	p.Weapon = Epee
	if got := phraseCodes(p.Warnings(Vocabulary{}, nil)); !slices.Equal(got, []string{"priority-in-epee t.90"}) {
		t.Errorf("épée with a priority: %v", got)
	}
	if told := p.Sentence(Vocabulary{}, nil, "Anna", "Ben"); strings.Contains(told, "priority") {
		t.Errorf("épée: %q", told)
	}
	p.Weapon, p.Priority = "halberd", "both"
	if got := phraseCodes(p.Warnings(Vocabulary{}, nil)); !slices.Equal(got, []string{"unknown-weapon ", "unknown-priority "}) {
		t.Errorf("nonsense: %v", got)
	}
}

func TestBadActionsAreNamed(t *testing.T) {
	p := WrittenPhrase{Actions: []Action{
		{ID: "a", Who: 7, Line: "blade", Word: "attack"}, {ID: "b", Line: "blade", Word: "  "}, {ID: "c", Line: "head", Word: "attack"},
		{ID: "d", Line: "feet", Word: "lunge", From: 9, To: 3}, {ID: "d", Line: "feet", Word: "recovery", From: 12, To: 14}}}
	want := []string{"no-fencer ", "no-word ", "unknown-line ", "ends-before-it-begins ", "two-with-one-id "}
	got := phraseCodes(p.Warnings(Vocabulary{}, nil))
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("%v, not %v", got, want)
	}
	if told := (WrittenPhrase{}).Sentence(Vocabulary{}, nil, "", ""); told != "Nothing is written yet." || (WrittenPhrase{}).Warnings(Vocabulary{}, nil) != nil {
		t.Errorf("the empty phrase: %q", told)
	}
}

func TestSentence(t *testing.T) {
	p := phrase(t, "L step forward 0-5; L attack 6-14; L lunge 7-14; R parry 10-14; R quarte 10-14; R riposte 15-20; L parry 17-21; L counter-riposte 22-27; L hit 27-27")
	p.Notes = []PhraseNote{{ActionID: "a2", Target: mark.Hand, Line: "sixte", Intention: SecondIntention, Result: Parried},
		{ActionID: "a6", Target: mark.Chest, Result: Parried}, {ActionID: "a9", Target: mark.UpperArm}}
	// Written in any order it is told in time.
	slices.Reverse(p.Actions)
	want := "Anna steps forward, then attacks in sixte to the hand with a lunge in second intention but is parried; " +
		"Ben parries quarte, then ripostes to the chest but is parried; Anna parries, then counter-ripostes and hits on the upper arm."
	if got := p.Sentence(Vocabulary{}, nil, "Anna", "Ben"); got != want {
		t.Errorf("%q\nnot %q", got, want)
	}
	for text, want := range map[string]string{
		"L attack 0-9; L lunge 2-9; R stop hit 4-9":            "The left fencer attacks with a lunge; the right fencer makes a stop hit.",
		"L attack 0-4; L lunge 8-12":                           "The left fencer attacks, then lunges.",
		"L flèche 0-9; L remise 2-9; R big  sweep 4-9":         "The left fencer remises in flèche; the right fencer does “big sweep”.",
		"R step back 0-4; L step forward 0-4; L feint 3-6":     "The right fencer steps back; at the same moment the left fencer steps forward, then feints.",
		"L Ausfall 0-9; L miss 9-9; R step back 1-3; R dé 4-5": "The left fencer lunges; the right fencer steps back, then does “dé”; the left fencer misses.",
	} {
		if got := phrase(t, text).Sentence(Vocabulary{}, nil, "", ""); got != want {
			t.Errorf("%q\nnot %q", got, want)
		}
	}
	for text, want := range map[string]string{
		"L step forward 0-5; L step forward 6-12":                       "The left fencer steps forward twice.",
		"L step forward 0-5; L step forward 6-12; L step forward 13-20": "The left fencer steps forward 3 times.",
		"L disengage 3-9; L lunge 4-12":                                 "The left fencer disengages with a lunge.",
	} {
		if got := phrase(t, text).Sentence(Vocabulary{}, nil, "", ""); got != want {
			t.Errorf("%s: %q, not %q", text, got, want)
		}
	}
	late := phrase(t, "L attack 0-9; R quarte 5-9")
	late.Notes = []PhraseNote{{ActionID: late.Actions[1].ID, Result: Missed}}
	if got := late.Sentence(Vocabulary{}, nil, "", ""); !strings.HasSuffix(got, "parries quarte but does not find the blade.") {
		t.Errorf("a parry that missed: %q", got)
	}
	if got := phrase(t, "L attack 0-9").Sentence(Vocabulary{}, nil, "Kim", "Kim"); got != "The left fencer attacks." {
		t.Errorf("a fencer facing themselves: %q", got)
	}
}

// A word of the coach with a kind is read as one of the trade's.
func TestGrammarKnowsTheCoachsWords(t *testing.T) {
	v, err := Vocabulary{}.Add(TradeWord{Name: "the gate", Kind: KindParry, Does: "shuts the gate"})
	if err != nil {
		t.Fatal(err)
	}
	p := phrase(t, "L attack 0-9; R the gate 6-10; R riposte 11-15")
	if got := p.Warnings(v, nil); got != nil {
		t.Errorf("%v", got)
	}
	if got := p.Sentence(v, nil, "", ""); got != "The left fencer attacks; the right fencer shuts the gate, then ripostes." {
		t.Error(got)
	}
	p.Actions = p.Actions[1:]
	if got := phraseCodes(p.Warnings(v, nil)); !slices.Equal(got, []string{"parry-without-threat t.9.2"}) {
		t.Errorf("%v", got)
	}
}

// Frames of two takes cannot be compared: the true time puts them in order, and
// without it the order in which they were written stands.
func TestOrderOverTakes(t *testing.T) {
	p := phrase(t, "R riposte 0-4; R parry 500-510; L attack 3-9")
	p.Actions[1].Take = "replay"
	at := map[string]float64{"a1": 0.6, "a2": 0.4, "a3": 0.1}
	when := func(a Action) (float64, float64, bool) { return at[a.ID], at[a.ID] + 0.3, true }
	if got := p.Warnings(Vocabulary{}, when); got != nil {
		t.Errorf("in true time: %v", got)
	}
	if got := p.InOrder(Vocabulary{}, when); got[0].ID != "a3" || got[2].ID != "a1" {
		t.Errorf("in true time: %v", got)
	}
	if got := p.InOrder(Vocabulary{}, nil); !reflect.DeepEqual(got, p.Actions) {
		t.Errorf("without times: %v", got)
	}
}

// Whatever is written: no panic, the same answer twice, warnings about actions that
// exist, one line each, and one sentence; the order of writing does not matter where
// no two begin on one frame.
func FuzzPhrase(f *testing.F) {
	f.Add([]byte{0, 20, 3, 9, 1, 40, 2, 5}, "epee", "own")
	f.Add([]byte{1, 255, 0, 0, 3, 33, 9, 1}, "sabre", "réprise\n")
	f.Add([]byte{}, "", "")
	all := TradeWords()
	f.Fuzz(func(t *testing.T, data []byte, weapon, own string) {
		data = data[:min(len(data), 120)]
		p := WrittenPhrase{Weapon: Weapon(weapon)}
		ids := map[string]bool{"": true}
		for i := 0; i+3 < len(data); i += 4 {
			a := Action{ID: fmt.Sprint(i), Who: mark.Side(data[i] % 3), Line: StaveLines[data[i+2]%3], Word: own,
				From: mark.Frame(1000*int(data[i+2]) + i), To: mark.Frame(1000*int(data[i+2]) + 1000*int(data[i+3]) - 2000)}
			if int(data[i+1]) < len(all) {
				a.Word = all[data[i+1]].Name
			}
			ids[a.ID] = true
			p.Actions = append(p.Actions, a)
			p.Notes = append(p.Notes, PhraseNote{ActionID: a.ID, Line: own, Result: Result(Results()[int(data[i+3])%7].Name)})
		}
		v := Vocabulary{Weapon: p.Weapon}
		got := p.Warnings(v, nil)
		for _, w := range got {
			if !ids[w.ActionID] || w.Code == "" || w.Text == "" || strings.Contains(w.Text, "\n") {
				t.Fatalf("%+v", w)
			}
		}
		told := p.Sentence(v, nil, own, "")
		if strings.Contains(told, "\n") || !strings.HasSuffix(told, ".") {
			t.Fatalf("%q", told)
		}
		slices.Reverse(p.Actions)
		if again := p.Warnings(v, nil); !reflect.DeepEqual(got, again) {
			t.Fatalf("%v\nreversed %v", got, again)
		}
		if again := p.Sentence(v, nil, own, ""); again != told {
			t.Fatalf("%q\nreversed %q", told, again)
		}
	})
}
