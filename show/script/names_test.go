package script

import (
	"encoding/json"
	"strings"
	"testing"

	"mesure/study"
)

// TestHiddenNamesAreNowhere: not in lines, titles of numbers, the page or the JSON, for
// names of many scripts, in capitals, in the coach's title and in what the study wrote.
func TestHiddenNamesAreNowhere(t *testing.T) {
	for _, n := range [][2]string{{"Ida Maren", "Jonas Öberg"}, {"佐藤花子", "王小明"}, {"نورا سالم", "דנה לוי"}, {"Nils von Rehn", "Éa D’Arc-Tovel"}, {"Ash 🤺", "Brook"}, {strings.Repeat("Abcdefghi ", 30), "Q"}} {
		for _, how := range []Naming{Anonymous, Initials} {
			for _, level := range levels {
				r := told(t)
				r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name = n[0], n[1]
				r.Tactics.Names = n
				r.Touch.Title = strings.ToUpper(n[0]) + " meets " + n[1]
				r.Tactics.Story = append(r.Tactics.Story, study.Sentence{{Text: n[0] + " answers " + n[1] + "’s attack at "}, {Text: "37\u00a0%", From: "habit-right"}, {Text: "."}})
				r.Tactics.Sources = append(r.Tactics.Sources, study.Source{ID: "habit-right", Title: n[1]})
				s := drafted(t, r, Options{Level: level, Names: how})
				b, err := json.Marshal(s)
				if err != nil {
					t.Fatal(err)
				}
				text := string(b) + markdown(t, s, nil)
				for _, name := range n {
					for _, w := range strings.Fields(name) {
						if len([]rune(w)) > 1 && w != "von" && (strings.Contains(text, w) || strings.Contains(text, strings.ToUpper(w))) {
							t.Errorf("%s of %q is in the script, %s, %s", w, name, how, level)
						}
					}
				}
				if how == Anonymous && strings.Contains(text, r.Touch.Bout.Event) {
					t.Error("the event is in a script without names")
				}
			}
		}
	}
	if !strings.Contains(markdown(t, drafted(t, told(t), Options{}), nil), "Ida Maren fences on the left") {
		t.Error("names that are wanted are not there")
	}
}

// TestInitialsThatAreAlikeTellNobodyApart: the sides stand for them.
func TestInitialsThatAreAlikeTellNobodyApart(t *testing.T) {
	r := told(t)
	r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name = "Ida Maren", "Ilan Mohr"
	r.Tactics = nil
	if got := line(t, drafted(t, r, Options{Names: Initials}), "lag/left").String(); !strings.HasPrefix(got, "Left’s hand") {
		t.Error(got)
	}
	r.Touch.Bout.Right.Name = "Jonas Öberg"
	if got := line(t, drafted(t, r, Options{Names: Initials}), "lag/left").String(); !strings.HasPrefix(got, "IM’s hand") {
		t.Error(got)
	}
}

// TestASharedOrLongNameDoesNotHideWhatIsSaid: one family name for both is said whole, a
// name of 300 letters gives way to the side.
func TestASharedOrLongNameDoesNotHideWhatIsSaid(t *testing.T) {
	r := told(t)
	r.Tactics = nil
	r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name = "Ida Maren", "Olof Maren"
	if got := line(t, drafted(t, r, Options{}), "lag/left").String(); !strings.HasPrefix(got, "Ida Maren’s hand") {
		t.Error(got)
	}
	r.Touch.Bout.Left.Name = strings.Repeat("x", 300)
	if got := line(t, drafted(t, r, Options{}), "lag/left").String(); !strings.HasPrefix(got, "Left’s hand") {
		t.Error(got)
	}
}

// TestANameCannotChangeThePage: marks of Markdown in a name or title are letters there.
func TestANameCannotChangeThePage(t *testing.T) {
	r := told(t)
	r.Touch.Title = "# <b>big</b> [x](y)\n\n1. list"
	got := markdown(t, drafted(t, r, Options{}), nil)
	for _, bad := range []string{"<b>", "[x]", "\n1. "} {
		if strings.Contains(strings.SplitN(got, "## Technique", 2)[0], bad) {
			t.Errorf("%q stands in the page as it is", bad)
		}
	}
}
