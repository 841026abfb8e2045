package web

import (
	"net/http"
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// TestTradeHasAWordForEverything: every name that a touch may use has a word that
// is no file name, none stands twice, and what a hand must set has a sentence.
func TestTradeHasAWordForEverything(t *testing.T) {
	b := newBench(t)
	got := must[Trade](b, http.MethodGet, "/api/trade", nil)
	if len(got.Points) != len(piste.Names()) || len(got.Lines) != len(piste.LineNames()) || len(got.Things) != len(mark.Points()) || len(got.Targets) != len(mark.Targets()) {
		t.Errorf("%d points, %d lines, %d things, %d targets", len(got.Points), len(got.Lines), len(got.Things), len(got.Targets))
	}
	seen := map[string]bool{}
	word := func(kind, name, word string) {
		t.Helper()
		if name == "" || word == "" || strings.ContainsAny(word, "-_") && kind != "card" && kind != "line" && kind != "point" && kind != "blade" {
			t.Errorf("%s %q has the word %q", kind, name, word)
		}
		if seen[kind+" "+word] {
			t.Errorf("%s: %q stands twice", kind, word)
		}
		seen[kind+" "+word] = true
	}
	for _, p := range got.Points {
		word("point", p.Name, p.Word)
		if on, ok := piste.Named(p.Name, piste.Width); !ok || on != p.On {
			t.Errorf("%s stands at %v", p.Name, p.On)
		}
	}
	for _, l := range got.Lines {
		word("line", l.Name, l.Word)
		if l.A == l.B {
			t.Errorf("%s is a point", l.Name)
		}
	}
	lists := map[string][]Word{"thing": got.Things, "target": got.Targets, "movement": got.Movements, "weapon": got.Weapons, "grip": got.Grips, "card": got.Cards, "moment": got.Moments}
	for _, f := range got.Own {
		lists["own figure"] = append(lists["own figure"], f.Word)
		if f.Unit != "m" && f.Unit != "s" || f.Least >= f.Most {
			t.Errorf("own figure %q: unit %q, from %v to %v", f.Name, f.Unit, f.Least, f.Most)
		}
	}
	for _, line := range bout.StaveLines {
		lists[line] = got.Words[line]
	}
	for kind, all := range lists {
		if len(all) == 0 {
			t.Errorf("no %s", kind)
		}
		for _, w := range all {
			word(kind, w.Name, w.Word)
			if w.About == "" && kind != "target" {
				t.Errorf("%s %q is not explained", kind, w.Name)
			}
			if w.About != "" && (!strings.HasSuffix(w.About, ".") || strings.Count(w.About, ". ") > 0) {
				t.Errorf("%s %q: %q is not one sentence", kind, w.Name, w.About)
			}
		}
	}
	words := map[string]string{}
	for _, p := range got.Points {
		words[p.Name] = p.Word
	}
	for name, want := range map[string]string{
		"left-on-guard-near": "left on-guard line, near edge", "centre-far": "centre line, far edge",
		"right-rear-axis": "right rear limit, middle of the width", "left-warning-far": "left edge of the last 2 m, far edge",
	} {
		if words[name] != want {
			t.Errorf("%s is %q, want %q", name, words[name], want)
		}
	}
	for _, p := range got.Points {
		if painted := !strings.HasSuffix(p.Name, "-axis") && !strings.Contains(p.Name, "warning"); p.Painted != painted {
			t.Errorf("%s: painted %v", p.Name, p.Painted)
		}
	}
}
