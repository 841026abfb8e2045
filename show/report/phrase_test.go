package report

import (
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// The report tells the phrase as the sport's own functions do (second route), its
// choices, the measure at the launch, and what the rules would ask, with the article.
func TestTheReportTellsThePhrase(t *testing.T) {
	r := reading(t)
	clip := r.Clips["hall"]
	for i := range 121 {
		clip.Times = append(clip.Times, mark.FileTime(0.02*float64(i)))
	}
	r.Clips["hall"] = clip
	r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name = "A. Norden", "B. Quill"
	in := &r.Instants[0]
	in.At, _ = r.When(in.Take, in.Frame)
	r.Touch.Actions = []bout.Action{
		{ID: "a", Who: mark.Left, Line: "blade", Word: "attack", Take: in.Take, From: in.Frame, To: in.Frame + 10},
		{ID: "b", Who: mark.Right, Line: "blade", Word: "riposte", Take: in.Take, From: in.Frame + 8, To: in.Frame + 16},
	}
	r.Touch.Notes = []bout.PhraseNote{{ActionID: "a", Target: mark.Chest, Result: bout.FellShort}}
	in.Gaps = append(in.Gaps, study.Gap{Of: mark.Left, Target: mark.Chest, Gap: quantity.Normal(quantity.Metres(1.31), 0.04), Band: "medium", Chance: 0.91})
	s := written(t, r, Options{})
	told := r.Touch.Written().Sentence(bout.Vocabulary{}, nil, "A. Norden", "B. Quill")
	for _, want := range []string{told, "Left set out with: straight attack. Right set out with: parry and riposte.",
		"left’s point was 1.31 ± 0.04 m from the chest: lunging measure (91 %).", "the same fencer has not parried before", "(t.9.1)"} {
		if !strings.Contains(strings.ReplaceAll(s, "\u00a0", " "), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	if s := written(t, r, Options{HideNames: true}); strings.Contains(s, "Norden") || !strings.Contains(s, "The left fencer attacks") {
		t.Error("names are hidden, and the phrase tells them")
	}
	if s := written(t, reading(t), Options{}); strings.Contains(s, "set out with") {
		t.Error("a report of nothing written tells a phrase")
	}
}
