package script

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// TestEveryNumberIsBoundToAFact: no digit stands in plain words, and each bound number
// is printed as the reading has it.
func TestEveryNumberIsBoundToAFact(t *testing.T) {
	for _, level := range levels {
		o := Options{Level: level}
		facts, err := Facts(told(t), o)
		if err != nil {
			t.Fatal(err)
		}
		text := map[string]string{}
		for _, f := range facts {
			text[f.Ref] = f.Text
			if f.Title == "" {
				t.Errorf("%s has no title", f.Ref)
			}
		}
		s, n := drafted(t, told(t), o), 0
		each(s, func(_ string, l Line) {
			if u := l.Unbound(); len(u) > 0 {
				t.Errorf("%s: numbers without a source in %q", l.Key, u)
			}
			for _, p := range l.Pieces {
				if p.Ref == "" {
					continue
				}
				n++
				if text[p.Ref] != p.Text {
					t.Errorf("%s: %q is bound to %s, which is %q", l.Key, p.Text, p.Ref, text[p.Ref])
				}
				if !slices.ContainsFunc(s.Sources, func(f Fact) bool { return f.Ref == p.Ref && f.Text == p.Text }) {
					t.Errorf("%s is not among the sources", p.Ref)
				}
			}
		})
		if n < 5 {
			t.Errorf("%s: %d numbers in all", level, n)
		}
	}
}

// TestThePrintedNumbersAreTheMeasuredOnes, held against the fixture by hand: the race is
// first in 0.83 of the draws, the hand 60 ± 16 ms before the foot, the gap 0.917 ± 0.048 m.
func TestThePrintedNumbersAreTheMeasuredOnes(t *testing.T) {
	s := drafted(t, told(t), Options{Level: Competitor})
	for key, want := range map[string]string{
		"race":        "From here Maren’s lunge most likely arrives first, ahead of Öberg’s extension: in 83 ± 1 % of the computed runs. Where both arrive, the lead is −60 to 172 ms.",
		"lag/left":    "Maren’s hand starts 60 ± 16 ms before the front foot.",
		"gap/left":    "Maren’s point is 0.92 ± 0.05 m from Öberg’s forearm: most likely a lunge away.",
		"commit/left": "Maren’s front foot is in the air: there is no way back until it lands, in 220 ± 40 ms.",
	} {
		if got := strings.ReplaceAll(line(t, s, key).String(), "\u00a0", " "); got != want {
			t.Errorf("%s:\n got %s\nwant %s", key, got, want)
		}
	}
}

// TestLevelsStateTheSameFacts: they differ in words and depth. What a beginner hears of a
// number, a club fencer hears too, with the same claim and the same print.
func TestLevelsStateTheSameFacts(t *testing.T) {
	var claims, numbers [len(levels)]map[string]string
	for i, level := range levels {
		claims[i], numbers[i] = map[string]string{}, map[string]string{}
		each(drafted(t, told(t), Options{Level: level}), func(part string, l Line) {
			claims[i][part+" "+l.Key] = l.Claim
			for _, p := range l.Pieces {
				if p.Ref != "" {
					numbers[i][p.Ref] = p.Text
				}
			}
		})
		if i == 0 {
			continue
		}
		for k, c := range claims[i-1] {
			if claims[i][k] != c {
				t.Errorf("%s claims %q of %s, %s %q", levels[i-1], c, k, level, claims[i][k])
			}
		}
		for ref, text := range numbers[i-1] {
			if numbers[i][ref] != text {
				t.Errorf("%s prints %s as %q, %s as %q", levels[i-1], ref, text, level, numbers[i][ref])
			}
		}
		if len(numbers[i]) <= len(numbers[i-1]) {
			t.Errorf("%s is no deeper than %s", level, levels[i-1])
		}
	}
}

// TestALongSentenceIsLeftToThePage: one of 40 words is not for a beginner, one of 70 for
// nobody; what a beginner hears in its place, the others hear too.
func TestALongSentenceIsLeftToThePage(t *testing.T) {
	r := told(t)
	long := func(n int) study.Sentence { return study.Sentence{{Text: strings.Repeat("word ", n-1) + "end."}} }
	short := study.Sentence{{Text: "Short it is."}}
	r.Tactics.Story = []study.Sentence{long(70), long(40), long(41), long(42), short}
	for level, want := range map[Level][]int{Beginner: {3}, Club: {40, 41, 3}, Competitor: {40, 41, 42, 3}} {
		var got []int
		each(drafted(t, r, Options{Level: level}), func(_ string, l Line) {
			if strings.HasPrefix(l.Key, toldStory) {
				got = append(got, englishSpoken(l.String()))
			}
		})
		if !slices.Equal(got, want) {
			t.Errorf("%s: sentences of %v words, want %v", level, got, want)
		}
	}
}

// TestTheSentencesOfALevelHaveNoSlotThatADeeperOneLacks, for every claim, those that the
// fixture does not make among them; a sentence that a level has, the deeper ones have.
func TestTheSentencesOfALevelHaveNoSlotThatADeeperOneLacks(t *testing.T) {
	slot := regexp.MustCompile(`\{([a-z0-9]*)\}`)
	for id, w := range englishLines {
		for i := 1; i < len(w); i++ {
			if w[i-1] != "" && w[i] == "" {
				t.Errorf("%s: said at %s and not at %s", id, levels[i-1], levels[i])
			}
			for _, m := range slot.FindAllStringSubmatch(w[i-1], -1) {
				if m[1] == "who" || m[1] == "other" { // who it is about is no number
					continue
				}
				if !strings.Contains(w[i], m[0]) {
					t.Errorf("%s: %s has %s and %s has not", id, levels[i-1], m[0], levels[i])
				}
			}
		}
		for i, s := range w {
			if strings.Contains(s, "!") || strings.Contains(s, "  ") || s != "" && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
				t.Errorf("%s at %s is no sentence of the house: %q", id, levels[i], s)
			}
			if strings.ContainsAny(slot.ReplaceAllString(s, ""), "0123456789{}") {
				t.Errorf("%s at %s has a number of its own: %q", id, levels[i], s)
			}
		}
	}
}

// TestAReadingInPartIsToldInPart: whatever part is missing, no line knows it.
func TestAReadingInPartIsToldInPart(t *testing.T) {
	cuts := map[string]func(*study.Reading){
		"race":    func(r *study.Reading) { r.Race, r.Timing.Race = nil, nil },
		"timing":  func(r *study.Reading) { r.Timing = nil },
		"tactics": func(r *study.Reading) { r.Tactics = nil },
		"windows": func(r *study.Reading) { r.Timing.Windows = nil },
		"parry":   func(r *study.Reading) { r.Timing.Parry = nil },
		"seen":    func(r *study.Reading) { r.Timing.Parry.Observed, r.Timing.Parry.Riposte = nil, nil },
		"commits": func(r *study.Reading) { r.Timing.Commits = [2]*study.Commit{} },
		"started": func(r *study.Reading) { r.Timing.Started = nil },
		"launch":  func(r *study.Reading) { r.Timing.Started.Launch = nil },
		"one":     func(r *study.Reading) { r.Timing.Started.Starts = r.Timing.Started.Starts[:1] },
		"habits":  func(r *study.Reading) { r.Tactics.Habits = [2]*study.Habit{} },
		"payoff":  func(r *study.Reading) { r.Tactics.Payoff = nil },
		"frames":  func(r *study.Reading) { r.Instants = nil },
		"lamps":   func(r *study.Reading) { r.Touch.Lamps = nil },
		"all": func(r *study.Reading) {
			*r = study.Reading{Touch: &study.Touch{}}
		},
	}
	gone := map[string]string{"race": "race", "windows": "windows-open", "parry": "parry", "started": "started", "launch": "launch", "one": "started", "habits": "habit/right", "payoff": "payoff", "frames": "chest/left", "lamps": "lamps", "commits": "commit/left"}
	for name, cut := range cuts {
		for _, level := range levels {
			r := told(t)
			cut(r)
			s := drafted(t, r, Options{Level: level})
			each(s, func(part string, l Line) {
				if text := l.String(); strings.ContainsAny(text, "{}") || strings.Contains(text, "not known") || strings.Contains(text, "  ") {
					t.Errorf("without %s at %s: %q", name, level, text)
				}
			})
			if key := gone[name]; key != "" && has(s, key) {
				t.Errorf("without %s the script still has %s: %s", name, key, line(t, s, key))
			}
			if name == "all" && len(s.Parts) != 0 {
				t.Errorf("nothing is known, and %d parts are told", len(s.Parts))
			}
			markdown(t, s, nil)
		}
	}
	// The same key is there where nothing is cut: the table above can fail.
	full := drafted(t, told(t), Options{Level: Competitor})
	for name, key := range gone {
		if !has(full, key) {
			t.Errorf("%s: no line %s in the whole script", name, key)
		}
	}
}

// TestDraftLeavesTheReadingAlone and gives equal scripts for equal readings.
func TestDraftLeavesTheReadingAlone(t *testing.T) {
	r := told(t)
	before, _ := json.Marshal(r)
	a, _ := json.Marshal(drafted(t, r, Options{Level: Competitor, Names: Initials}))
	b, _ := json.Marshal(drafted(t, r, Options{Level: Competitor, Names: Initials}))
	if after, _ := json.Marshal(r); string(before) != string(after) {
		t.Error("the reading has changed")
	}
	if string(a) != string(b) {
		t.Error("two drafts of one reading differ")
	}
}

// TestOptionsThatAreNoneAreRefused in one line that says what mends it.
func TestOptionsThatAreNoneAreRefused(t *testing.T) {
	for _, o := range []Options{{Level: "master"}, {Names: "nick"}, {Language: "xx"}, {PerMinute: -1}, {PerMinute: 1e9}} {
		_, err := Draft(told(t), o)
		no, ok := err.(*Refusal)
		if !ok || no.Mend == "" || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if _, err := Draft(nil, Options{}); err == nil {
		t.Error("nothing was drafted")
	}
	if _, err := Draft(&study.Reading{}, Options{}); err == nil {
		t.Error("a reading without a touch was drafted")
	}
}

// TestTheRightSideIsToldAsTheLeft: a race seen from the other side has the same claim and
// the same numbers.
func TestTheRightSideIsToldAsTheLeft(t *testing.T) {
	r := told(t)
	x := r.Timing.Race
	first := rightFirst(x) // what is left by left and by nobody
	x.LeftFirst, x.Margin = first, negated(x.Margin)
	x.LeftOnly, x.RightOnly = x.RightOnly, x.LeftOnly
	x.Runs[mark.Left], x.Runs[mark.Right] = x.Runs[mark.Right], x.Runs[mark.Left]
	want := line(t, drafted(t, told(t), Options{Level: Competitor}), "race").String()
	got := line(t, drafted(t, r, Options{Level: Competitor}), "race").String()
	if swap := strings.NewReplacer("Maren", "Öberg", "Öberg", "Maren").Replace(want); got != swap {
		t.Errorf("mirrored:\n got %s\nwant %s", got, swap)
	}
}
