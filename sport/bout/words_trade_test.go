package bout

import (
	"slices"
	"strings"
	"testing"
)

func TestOneWordForOneThing(t *testing.T) {
	abouts, names, terms := map[string]string{}, map[string]bool{}, map[string]string{}
	for _, w := range TradeWords() {
		if names[w.Name] {
			t.Errorf("%q stands twice in the table", w.Name)
		}
		names[w.Name] = true
		if w.French == "" {
			t.Errorf("%q has no French term", w.Name)
		}
		if w.About == "" || !strings.HasSuffix(w.About, ".") || strings.Count(w.About, ".") != 1 {
			t.Errorf("%q is not defined in one sentence: %q", w.Name, w.About)
		}
		if w.Does == "" || w.Source == "" || !slices.Contains(ActionKinds(), w.Kind) || len(w.Lines) == 0 {
			t.Errorf("%q lacks a verb, a source, a kind or a line: %+v", w.Name, w)
		}
		for _, line := range w.Lines {
			if !slices.Contains(StaveLines[:], line) {
				t.Errorf("%q is written on %q, which is no line", w.Name, line)
			}
		}
		if other, ok := abouts[folded(w.About)]; ok {
			t.Errorf("%q and %q have one definition", w.Name, other)
		}
		abouts[folded(w.About)] = w.Name
		for _, term := range w.terms() {
			key := folded(term.Word)
			if other, ok := terms[key]; ok && other != w.Name {
				t.Errorf("%q means %q and %q", term.Word, w.Name, other)
			}
			terms[key] = w.Name
		}
	}
	for _, name := range usual {
		if !names[name] {
			t.Errorf("%q is called usual and is not in the table", name)
		}
	}
}

// The stave and the vocabulary must not drift apart.
func TestVocabularyHoldsTheStave(t *testing.T) {
	for _, line := range StaveLines {
		for _, s := range StaveWords(line) {
			w, ok := Vocabulary{}.Word(s.Word)
			if !ok || w.Name != s.Word || w.Lean != s.Lean || !w.On(line) {
				t.Errorf("%s: %q is %+v, %v in the vocabulary", line, s.Word, w, ok)
			}
		}
	}
}

// Lines and hands of the eight parries: the classical numbering (Encyclopædia
// Britannica 1911, vol. 10, "Fencing"): 6 and 3 high outside, 4 high inside, 8 and 2
// low outside, 7 and 1 low inside; hand up in 4, 6, 7, 8, down in 1, 2, 3, 5.
func TestEightParries(t *testing.T) {
	for name, want := range map[string][]string{
		"prime": {"low", "inside", "down"}, "seconde": {"low", "outside", "down"}, "tierce": {"high", "outside", "down"},
		"quarte": {"high", "inside", "up"}, "quinte": {"inside", "down"}, "sixte": {"high", "outside", "up"},
		"septime": {"low", "inside", "up"}, "octave": {"low", "outside", "up"}} {
		w, _ := Vocabulary{}.Word(name)
		for _, part := range want {
			if !strings.Contains(strings.ReplaceAll(w.About, "hand high", ""), part) {
				t.Errorf("%s: %q does not say %s", name, w.About, part)
			}
		}
		if w.Kind != KindParry {
			t.Errorf("%s is a %s", name, w.Kind)
		}
	}
}

// Articles where the rules define a word: FIE technical rules, English edition of
// 2025, t.9 to t.15.
func TestArticlesOfTheRules(t *testing.T) {
	for name, article := range map[string]string{"attack": "t.9.1", "parry": "t.9.2", "counter-riposte": "t.9.1", "counter parry": "t.14",
		"stop hit": "t.12.1", "time hit": "t.12.2", "stop hit in time": "t.12.3", "remise": "t.13.1", "redoublement": "t.13.2",
		"reprise": "t.13.3", "counter-time": "t.13.4", "point in line": "t.15"} {
		w, _ := Vocabulary{}.Word(name)
		if w.Article != article || !strings.Contains(w.Source, article) {
			t.Errorf("%s: %q from %q, not %s", name, w.Article, w.Source, article)
		}
	}
	// The rules use these and do not define them.
	for _, name := range []string{"feint", "lunge", "flèche", "invitation", "engagement", "bind", "croisé", "envelopment"} {
		w, _ := Vocabulary{}.Word(name)
		if strings.HasPrefix(w.Source, fromRules) {
			t.Errorf("%s is said to be defined by the rules: %q", name, w.Source)
		}
	}
}

func TestFindByTwoLetters(t *testing.T) {
	v := Vocabulary{Weapon: Epee}
	for _, c := range []struct{ typed, line, want string }{
		{"ri", "", "riposte"}, {"RI", "blade", "riposte"}, {"at", "", "attack"}, {"pa", "", "parry"},
		{"fl", "", "flèche"}, {"fle", "feet", "flèche"}, {"dé", "", "disengage"}, {"de", "blade", "disengage"},
		{"lu", "", "lunge"}, {"fe", "", "lunge"}, {"fei", "", "feint"}, {"au", "feet", "lunge"}, {"af", "", "lunge"},
		{"ca", "blade", "disengage"}, {"counter at", "", "counter-attack"}, {"sh", "", "stop hit"},
		{"coup d'arret", "", "stop hit"}, {"li", "blade", "bind"}, {"re", "feet", "step back"}, {"qu", "hand", "quarte"},
		{"six", "", "sixte"}, {"hit", "", "hit"}, {"prise", "", "taking of the blade"}, {"batt", "", "beat"},
	} {
		got := v.Find(c.typed, c.line)
		if len(got) == 0 || got[0].Word.Name != c.want {
			t.Errorf("%q on %q finds %v first, not %s", c.typed, c.line, names(got), c.want)
		}
	}
	if got := v.Find("zz", ""); len(got) != 0 {
		t.Errorf("zz finds %v", names(got))
	}
	if all := v.Find("", ""); len(all) != len(v.Words()) || all[0].Word.Name != "attack" {
		t.Errorf("nothing typed finds %d words, %v first", len(all), names(all))
	}
	if m := v.Find("fent", ""); m[0].Term != "fente" || m[0].Language != "fr" {
		t.Errorf("fent matched %+v", m[0])
	}
	// Every word is found from the first two letters of every term it has.
	for _, w := range v.Words() {
		for _, term := range w.terms() {
			two := string([]rune(term.Word)[:2])
			if !slices.Contains(names(v.Find(two, w.Lines[0])), w.Name) {
				t.Errorf("%q does not find %s", two, w.Name)
			}
		}
	}
	// What the coach writes most comes first.
	v.Used = map[string]int{"redoublement": 3}
	if got := v.Find("re", "blade"); got[0].Word.Name != "redoublement" {
		t.Errorf("a word written often comes behind: %v", names(got))
	}
}

func names(found []WordMatch) []string {
	var all []string
	for _, m := range found {
		all = append(all, m.Word.Name)
	}
	return all
}

func TestVocabularyOfAWeapon(t *testing.T) {
	if got := names((Vocabulary{Weapon: Epee}).Find("cut", "")); slices.Contains(got, "cut") || got[0] != "cut-over" {
		t.Errorf("épée offers %v", got)
	}
	if got := names((Vocabulary{Weapon: Sabre}).Find("fl", "")); slices.Contains(got, "flèche") {
		t.Errorf("sabre offers %v; the flèche is forbidden there (t.101.5)", got)
	}
	if w, ok := (Vocabulary{Weapon: Sabre}).Word("Fleche"); !ok || w.Name != "flèche" {
		t.Error("a word of another weapon is not known any more")
	}
}

func TestOwnWords(t *testing.T) {
	v, err := Vocabulary{}.Add(TradeWord{Name: " big  sweep ", Kind: KindBladeAttack, Does: "sweeps"})
	if err != nil {
		t.Fatal(err)
	}
	w, ok := v.Word("Big Sweep")
	if !ok || !w.Own || w.Name != "big sweep" || w.Lines[0] != "blade" || w.Source == "" {
		t.Errorf("the own word is %+v, %v", w, ok)
	}
	if got := v.Find("bi", ""); !slices.Contains(names(got), "big sweep") {
		t.Errorf("bi finds %v", names(got))
	}
	for _, bad := range []TradeWord{{}, {Name: "Dégagement"}, {Name: "new", German: "Ausfall"}, {Name: "new", Lines: []string{"head"}},
		{Name: "new", Kind: "magic"}, {Name: "BIG SWEEP"}} {
		if after, err := v.Add(bad); err == nil || len(after.Own) != 1 || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v was taken: %v", bad, err)
		}
	}
	if _, ok := (Vocabulary{}).Word(""); ok {
		t.Error("nothing is a word")
	}
	TradeWords()[0].Lines[0] = "changed"
	if TradeWords()[0].Lines[0] == "changed" {
		t.Error("the caller can change the words of all")
	}
}

// Every term on weak ground is that of a word of the table, in a language in which it has
// one, and its source says so.
func TestUnsettledTermsSaySo(t *testing.T) {
	for name, which := range unsettled {
		w, ok := Vocabulary{}.Word(name)
		if !ok || w.Name != name {
			t.Errorf("%q is no word of the table", name)
			continue
		}
		if !strings.HasSuffix(w.Source, "not settled: "+which) {
			t.Errorf("%s: source %q", name, w.Source)
		}
		for language, term := range map[string]string{"French": w.French, "German": w.German, "Italian": w.Italian} {
			if strings.Contains(which, language) && term == "" {
				t.Errorf("%s has no %s term that could be unsettled", name, language)
			}
		}
	}
	if len(unsettled) < 10 {
		t.Error("too few were looked at")
	}
}
