package study

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// countedWords are words and figures that must come from somewhere.
var countedWords = regexp.MustCompile(`[0-9]|\b(once|twice|three|four|five|second|third|fourth|fifth)\b`)

// lawful checks what every sentence must keep to.
func lawful(t testing.TB, x *Tactics, ask TacticsAsk) {
	t.Helper()
	sources := map[string]Source{}
	for _, s := range x.Sources {
		sources[s.ID] = s
	}
	check := func(where string, s Sentence, seenAt bool) {
		text := s.String()
		if n := utf8.RuneCountInString(text); n > 400 || n < 3 {
			t.Errorf("%s has %d letters: %s", where, n, text)
		}
		if first, _ := utf8.DecodeRuneInString(text); unicode.IsLower(first) || !strings.HasSuffix(text, ".") || strings.HasSuffix(text, "..") || strings.Contains(text, "  ") || strings.ContainsAny(text, "!\n%\t") && !strings.Contains(text, "\u00a0%") {
			t.Errorf("%s is no sentence: %q", where, text)
		}
		for _, p := range s {
			if p.From == "" {
				if m := countedWords.FindString(p.Text); m != "" {
					t.Errorf("%s: %q comes from nowhere in %q", where, m, text)
				}
				continue
			}
			src, ok := sources[p.From]
			if !ok || src.Title == "" || src.How == "" {
				t.Errorf("%s: %q comes from %q, which is %+v", where, p.Text, p.From, src)
			}
			for _, n := range src.Touches {
				if n > x.At || n == x.At && !seenAt && src.ID != fmt.Sprintf("touch-%d", n) && src.ID != fmt.Sprintf("met-%d", n) {
					t.Errorf("%s: %q comes from touch %d, asked is %d", where, p.Text, n, x.At)
				}
			}
		}
	}
	for _, h := range x.Thread {
		check(fmt.Sprintf("thread %d", h.Number), h.Said, true)
		for _, b := range h.Bears {
			check(fmt.Sprintf("bearing of %d", h.Number), Sentence{{Text: b.Text}}, true)
		}
	}
	last := ""
	run, err := newTactics(ask)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range x.Story {
		check(fmt.Sprintf("story %d", i), s, false)
		words := strings.Fields(strings.NewReplacer(run.short(mark.Left), "A", run.short(mark.Right), "B").Replace(s.String()))
		if start := strings.Join(words[:min(3, len(words))], " "); start == last {
			t.Errorf("two sentences begin with %q:\n%s", start, storyText(x))
		} else {
			last = start
		}
	}
	if len(x.Story) < 1 || len(x.Story) > mostSentences {
		t.Errorf("%d sentences:\n%s", len(x.Story), storyText(x))
	}
	if x.Fenced && len(x.Story) < 3 {
		t.Errorf("%d sentences of a touch that was fenced:\n%s", len(x.Story), storyText(x))
	}
	noHabit(t, x, run)
}

// noHabit holds that nobody is said to know a habit of which too little was seen.
func noHabit(t testing.TB, x *Tactics, run *tacticsRun) {
	t.Helper()
	for _, s := range mark.Sides {
		k, err := run.knew(s, run.at)
		if err != nil {
			t.Fatal(err)
		}
		if k != nil && !k.TooLittle {
			continue
		}
		for _, line := range x.Story {
			for _, p := range line {
				if k != nil && p.From == k.Source && strings.Contains(p.Text, "%") {
					t.Errorf("%q is told of a habit of which too little was seen", line)
				}
			}
		}
	}
}

// randomBout is an invented bout of any kind.
func randomBout(r *rand.Rand) TacticsAsk {
	weapons := []bout.Weapon{bout.Epee, bout.Epee, bout.Epee, bout.Foil, bout.Sabre, ""}
	formats := []int{1, 5, 10, 15, 15, 45}
	names := [][2]string{{"Ilse Brandor", "Kim Vesper"}, {"", ""}, {"Brandor", "Vesper Kim"}, {"Ilse Brandor", "Arno Brandor"}, {strings.Repeat("Long ", 60), "VESPER Kim"}}
	words := []string{"", "", "attack", "attack", "lunge", "quarte", "stop hit", "compound attack", "counter-time", "step back", "bind", "flick", "step forward", strings.Repeat("very long own word ", 20)}
	n := names[r.IntN(len(names))]
	b := bout.Bout{Weapon: weapons[r.IntN(len(weapons))], Touches: formats[r.IntN(len(formats))], Left: bout.Fencer{Name: n[0]}, Right: bout.Fencer{Name: n[1]}, LastDoubleCounts: r.IntN(4) == 0}
	if b.Touches == 45 {
		b.Team = &bout.Team{Left: []string{"a", "b", "c"}, Right: []string{"d", "e", "f"}}
	}
	if r.IntN(5) == 0 {
		b.Start = &bout.Score{Left: r.IntN(b.Touches), Right: r.IntN(b.Touches)}
		b.First = 1 + r.IntN(9)
	}
	measures := []string{"", "short", "medium", "long", "out"}
	few := words[:2+r.IntN(len(words)-2)]
	for range r.IntN(31) {
		p := bout.Phrase{Lamps: bout.Lamps{Left: r.IntN(2) == 0, Right: r.IntN(2) == 0}, Measure: measures[r.IntN(len(measures))], Annulled: r.IntN(12) == 0}
		if r.IntN(8) > 0 {
			p.Choices = &bout.Choices{Left: few[r.IntN(len(few))], Right: few[r.IntN(len(few))]}
		}
		if r.IntN(15) == 0 {
			p.Cards = []bout.Card{{To: mark.Left, Colour: bout.Red}}
		}
		b.Sheet = append(b.Sheet, p)
	}
	ask := TacticsAsk{Bout: b, At: r.IntN(34), For: mark.Sides[r.IntN(2)], Seed: 1 + r.Uint64N(9)}
	if r.IntN(4) == 0 {
		ask.Clock = &ClockAsk{Left: quantity.Seconds(r.IntN(200)), Priority: []string{"", "left", "right"}[r.IntN(3)]}
	}
	for range r.IntN(3) * r.IntN(12) {
		s := mark.Sides[r.IntN(2)]
		ask.Past = append(ask.Past, Act{Bout: ID(fmt.Sprintf("old-%d", r.IntN(3))), Fencer: n[s], Opponent: n[s.Other()], Weapon: bout.Epee, Choice: "attack", Answer: "quarte", To: 5, Outcome: OutcomeHit, Number: 1})
	}
	return ask
}

func TestStoryLaws(t *testing.T) {
	for seed := range uint64(120) {
		ask := randomBout(rand.New(rand.NewPCG(seed, 6)))
		ask.Draws = 60
		lawful(t, toldOf(t, ask), ask)
		if t.Failed() {
			t.Fatalf("seed %d, asked of touch %d", seed, ask.At)
		}
	}
}

func FuzzStory(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, seed%3, "attack", "Ilse Brandor")
	}
	f.Fuzz(func(t *testing.T, seed, draw uint64, word, name string) {
		ask := randomBout(rand.New(rand.NewPCG(seed, draw)))
		ask.Draws = 20
		ask.Bout.Left.Name = name
		for i := range ask.Bout.Sheet {
			if c := ask.Bout.Sheet[i].Choices; c != nil && i%3 == 0 {
				c.Left = word
			}
		}
		x, err := newTactics(ask)
		if err != nil {
			return
		}
		for _, part := range []func() error{x.habits, x.thread, x.tell} {
			if err := part(); err != nil {
				return
			}
		}
		for _, s := range slices.Concat(x.out.Story, x.out.Next) {
			if n := utf8.RuneCountInString(s.String()); n > 400 {
				t.Errorf("%d letters: %q", n, s)
			}
		}
	})
}

// A relay far ahead is valued: rounding over its many scores once passed 1.
func TestTacticsOfARelay(t *testing.T) {
	start := bout.Score{Left: 40, Right: 8}
	b := bout.Bout{Weapon: bout.Epee, Touches: 45, Team: &bout.Team{Left: []string{"a", "b", "c"}, Right: []string{"d", "e", "f"}}, Start: &start}
	for _, o := range "LDLL" {
		b.Sheet = append(b.Sheet, bout.Phrase{Lamps: bout.Lamps{Left: true, Right: o == 'D'}, Choices: &bout.Choices{Left: "attack", Right: "parry"}})
	}
	ask := TacticsAsk{Bout: b}
	lawful(t, tacticsOf(t, ask), ask)
}
