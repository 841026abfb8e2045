package study

import (
	"slices"
	"strings"
	"testing"
)

// sentencesWithout are the sentences of a story that hold none of these words.
func sentencesWithout(x *Tactics, words ...string) []string {
	var all []string
	for _, s := range x.Story {
		text := s.String()
		if !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(text, w) }) {
			all = append(all, text)
		}
	}
	return all
}

// What the sheet alone decides, told by hand. What is expected, what hangs on it and what
// is sound follow from other sums and are tested below.
func TestStoryOfTheWheel(t *testing.T) {
	others := []string{"chance to win", "double helps", "chooses well", "sound", "expect", "guess", "leads with", "coming", "better choice"}
	for at, want := range map[int][]string{
		1: {"Touch 1 opens the bout of Ilse Brandor and Kim Vesper, which goes to 15.",
			"It goes like this: Vesper looks for the parry against the straight attack, but Brandor hits."},
		4: {"Touch 4 is fenced at 1–2, in a bout to 15: Kim Vesper leads Ilse Brandor by 1 hit.",
			"It opens like this: Vesper looks for the parry against the straight attack, but Brandor hits.",
			"Brandor brings nothing but the straight attack, at 3 touches: 1 hit and 2 hits against.",
			"What stops it is the parry and riposte, with 2 of 2 hits against it.",
			"From Vesper it is always the parry and riposte, 3 times, with 2 hits and 1 hit against.",
			"Hit with the straight attack at touch 3, Brandor now goes to the feint and attack.",
			"So they meet: Vesper looks for the parry against the feint and attack, but Brandor hits."},
		7: {"Touch 7 is fenced at 3–4, in a bout to 15: Kim Vesper leads Ilse Brandor by 1 hit.",
			"It opens like this: Vesper looks for the parry against the straight attack, but Brandor hits.",
			"Brandor mostly brings the straight attack, at 4 of 6 touches: 1 hit, 1 double and 2 hits against.",
			"From Vesper it is most often the parry and riposte, 4 of 6, with 2 hits and 2 hits against.",
			"After touch 3, where the straight attack is hit, Brandor turns to the feint and attack, and hits.",
			"Then, at touch 5, both change to the straight attack, and both hit.",
			"At touch 6, both change: Brandor to the feint and attack, Vesper to the counter-attack; Vesper hits.",
			"Hit with the feint and attack at touch 6, Brandor now goes to counter-time.",
			"So they meet: Vesper counter-attacks into counter-time, but Brandor hits."},
	} {
		got := sentencesWithout(tacticsOf(t, TacticsAsk{Bout: boutOf(wheel), At: at}), others...)
		if !slices.Equal(got, want) {
			t.Errorf("touch %d is told\n%s\nwant\n%s", at, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}
