package web

import (
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// The desk lays its handles over the stave by what stands on the wire.
func TestTheStaveOnTheWire(t *testing.T) {
	touch := &study.Touch{
		Videos: []study.Video{{ID: "v"}}, Takes: []mark.Take{{ID: "live", Video: "v", From: 1, To: 4, Offset: 2}},
		Actions: []bout.Action{{ID: "a", Who: mark.Right, Line: "hand", Word: "sixte", Take: "live", From: 2, To: 3}},
	}
	r := &study.Reading{Touch: touch, Clips: map[string]mark.Clip{"v": {Times: []mark.FileTime{0, 0.04, 0.08, 0.12, 0.16, 0.2}}}}
	s, err := staveOf(r, lookOf(true, false), StaveAsk{Width: 850, Height: 255})
	if err != nil {
		t.Fatal(err)
	}
	if w, h := 850/4.25, 255/4.25; s.Width < w-1e-9 || s.Width > w+1e-9 || s.Height < h-1e-9 || s.Height > h+1e-9 {
		t.Errorf("%v × %v, not %v × %v", s.Width, s.Height, w, h)
	}
	if len(s.Lines) != 6 || s.Lines[0] != (StaveLine{mark.Left, "feet", s.Lines[0].Y, s.Lines[0].H}) || s.Lines[5].Who != mark.Right || s.Lines[5].Line != "feet" {
		t.Errorf("lines %+v", s.Lines)
	}
	if len(s.Frames) != 1 || s.Frames[0].From != 1 || len(s.Frames[0].Times) != 4 || s.Frames[0].Times[0] != 2 {
		t.Errorf("frames %+v", s.Frames)
	}
	if s.T0 != 2 || !(s.T1 > 2.119 && s.T1 < 2.121) || !(s.X1 > s.X0) {
		t.Errorf("from %v at %v to %v at %v", s.T0, s.X0, s.T1, s.X1)
	}
	if !strings.HasPrefix(s.SVG, `<svg`) || !strings.Contains(s.SVG, ">sixte</text>") {
		t.Error("the action is not written")
	}
	if part, err := staveOf(r, lookOf(false, true), StaveAsk{From: 2.02, To: 2.06}); err != nil || part.T0 != 2.02 || part.T1 != 2.06 {
		t.Errorf("a part of it: %+v, %v", part, err)
	}
}
