package plate

import (
	"strings"
	"testing"
	"unicode/utf8"

	"mesure/show/draw"
)

func TestWhatFencersAreCalled(t *testing.T) {
	long := strings.Repeat("Aurelia ", 40) + "Montclair"
	for _, c := range []struct {
		how         Naming
		left, right string
		want        [2]string
		noted       bool
	}{
		{Named, "Ida Maren", "Jonas Öberg", [2]string{"Ida Maren", "Jonas Öberg"}, false},
		{"", "Ida  Maren\n", "", [2]string{"Ida Maren", "Right"}, false},
		{Initials, "Ida Maren", "Jonas Öberg", [2]string{"IM", "JÖ"}, false},
		{Initials, "Ida Maren", "Ines Moreau", [2]string{"Left", "Right"}, false}, // alike
		{Anonymous, "Ida Maren", "Jonas Öberg", [2]string{"Left", "Right"}, false},
		{Named, "Ида Марен", "Ιδα Μαρην", [2]string{"Ида Марен", "Ιδα Μαρην"}, false}, // the fonts have Cyrillic and Greek
		{Named, "Jonas O\u0308berg", "Kim", [2]string{"Jonas Öberg", "Kim"}, false},   // accents apart
		{Named, "王小明", "Kim", [2]string{"Left", "Kim"}, true},                         // Han
		{Named, "ليلى حسن", "דנה לוי", [2]string{"Left", "Right"}, true},              // right to left
		{Named, "अनिका Rao", "Kim", [2]string{"R", "Kim"}, true},                      // Devanagari, and a letter that can be told
		{Named, "Ida 🤺 Maren", "Kim", [2]string{"Ida Maren", "Kim"}, true},
		{Named, "\u202eneraM adI\u202c", "Kim", [2]string{"neraM adI", "Kim"}, false}, // turned by a mark of direction
		{Named, long, strings.Repeat("x", 300), [2]string{"Aurelia Aurelia Montclair", "Right"}, false},
		{Named, "Kim", "Kim", [2]string{"Left", "Right"}, false},
		{Named, "\xff\xfe", "Kim", [2]string{"Left", "Kim"}, true},
	} {
		got := Call(c.how, [2]string{c.left, c.right})
		if got.Say != c.want {
			t.Errorf("%q, %q as %q: called %q, want %q", c.left, c.right, c.how, got.Say, c.want)
		}
		if noted := got.Note() != ""; noted != c.noted {
			t.Errorf("%q, %q: the note is %q", c.left, c.right, got.Note())
		}
		for _, s := range got.Say {
			if lacks := draw.Lacks(s, draw.Serif); len(lacks) > 0 || s == "" || utf8.RuneCountInString(s) > mostOfName {
				t.Errorf("a picture cannot say %q: it lacks %q", s, lacks)
			}
		}
	}
}

func TestASentenceIsToldWithWhatTheyAreCalled(t *testing.T) {
	names := [2]string{"Ida Maren", "王小明"}
	for how, want := range map[Naming]string{
		Named:     "Ida Maren hit before Right did.",
		Initials:  "IM hit before Right did.",
		Anonymous: "Left hit before Right did.",
	} {
		if got := Call(how, names).Rename("Ida Maren hit before 王小明 did."); got != want {
			t.Errorf("%s: %q, want %q", how, got, want)
		}
	}
	if got := Call(Initials, names).Rename("Maren drew back."); got != "IM drew back." {
		t.Errorf("a single word of a name stands: %q", got)
	}
	if got := Call(Named, names).Rename("Maren drew back."); got != "Maren drew back." {
		t.Errorf("a name that may be said is gone: %q", got)
	}
}

func TestALongEventIsCut(t *testing.T) {
	if got := EventName("  Harbour\nHall Open "); got != "Harbour Hall Open" {
		t.Errorf("%q", got)
	}
	if got := EventName(strings.Repeat("é", 300)); utf8.RuneCountInString(got) != mostOfEvent || !strings.HasSuffix(got, "…") {
		t.Errorf("%q", got)
	}
}
