package main

import (
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// TestMovementsGoToTheFencerOfTheName, whichever side each stood on.
func TestMovementsGoToTheFencerOfTheName(t *testing.T) {
	fit := func(name string) []study.Fit { return []study.Fit{{Action: name}} }
	l := learned{"Ada": fit("ada"), "Bo": fit("bo")}
	touch := func(left, right string) *study.Touch {
		return &study.Touch{Bout: bout.Bout{Left: bout.Fencer{Name: left}, Right: bout.Fencer{Name: right}}}
	}
	all, err := l.of(touch("Bo", "Cy"))
	if err != nil || len(all[mark.Left]) != 1 || all[mark.Left][0].Action != "bo" || all[mark.Right] != nil {
		t.Errorf("%+v, %v", all, err)
	}
	if _, err := l.of(touch("Cy", "Di")); err == nil || !strings.Contains(err.Error(), "neither Cy nor Di is in those touches") {
		t.Errorf("strangers: %v", err)
	}
	if _, err := l.of(touch("", "")); err == nil || !strings.Contains(err.Error(), "does not name its fencers") {
		t.Errorf("nobody: %v", err)
	}
	if _, err := (learned{}).of(touch("Ada", "Bo")); err == nil {
		t.Error("touches that name nobody teach something")
	}
}
