package bout

import "testing"

func TestWordsOfTheStave(t *testing.T) {
	for _, line := range StaveLines {
		words := StaveWords(line)
		if len(words) < 10 {
			t.Fatalf("%s has %d words", line, len(words))
		}
		seen := map[string]bool{}
		for _, w := range words {
			if w.Word == "" || w.About == "" || seen[w.Word] {
				t.Errorf("%s: %+v is empty or twice there", line, w)
			}
			seen[w.Word] = true
			if LeanOf(w.Word) != w.Lean {
				t.Errorf("%s: %q leans %d here and %d there", line, w.Word, w.Lean, LeanOf(w.Word))
			}
		}
		words[0].Word = "changed"
		if StaveWords(line)[0].Word == "changed" {
			t.Errorf("%s: the caller can change the words of all", line)
		}
	}
	if StaveWords("head") != nil {
		t.Error("a line that is none has words")
	}
}

func TestLeanOfACoachsOwnWords(t *testing.T) {
	for word, want := range map[string]Lean{"big step back": Back, "Riposte": Forward, "attack to the hand": Forward,
		"waits": Level, "": Level, "retreat, two steps": Back} {
		if got := LeanOf(word); got != want {
			t.Errorf("%q leans %d, not %d", word, got, want)
		}
	}
}
