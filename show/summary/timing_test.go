package summary

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// TestEveryPartOfTheTimingIsPrinted: part by part, the numbers are those of the
// reading in the one printed form, and nothing is left out.
func TestEveryPartOfTheTimingIsPrinted(t *testing.T) {
	r := timed(t)
	x, s := r.Timing, Of(r).Timing
	if s == nil || s.Race == nil || s.Windows == nil || s.Parry == nil || s.Map == nil || s.Started == nil || s.WhatIf == nil {
		t.Fatalf("a part is missing: %+v", s)
	}
	same := func(what string, got Number, want string) {
		t.Helper()
		if got.Text != want {
			t.Errorf("%s: %q, want %q", what, got.Text, want)
		}
	}
	if s.Take != "live" || s.Frame != 42 || s.Finding != x.Race.Finding || s.AttackerWhy != x.AttackerWhy {
		t.Errorf("%+v", s)
	}
	same("at", s.At, plate.Seconds(x.Instant))
	same("hit", s.Windows.Hit, plate.Milliseconds(x.Windows.Hit))
	same("seen", s.Windows.Seen, plate.Milliseconds(x.Windows.Cue.At))
	same("gone", s.Windows.Gone, plate.FigureOf(x.Windows.Cue.Gone, plate.InPercent).Text)
	same("ready", s.Windows.Ready, plate.Milliseconds(x.Windows.Ready))
	answers, doings := timing.Answers(), timing.Doings()
	if len(s.Windows.Answers) != len(answers[:]) {
		t.Fatalf("%d answers", len(s.Windows.Answers))
	}
	words := map[string]bool{}
	for i, a := range timing.Answers() {
		got, w := s.Windows.Answers[i], x.Windows.Each[i]
		if got.Name != string(a) || got.Asks != a.Asks() || words[got.Word] || strings.Contains(got.Word, "-") {
			t.Errorf("answer %+v", got)
		}
		words[got.Word] = true
		same(got.Name+" in time", got.InTime, plate.Percent(w.InTime))
		same(got.Name+" earliest", got.Earliest, plate.Milliseconds(w.Earliest))
		if w.Latest != (quantity.Of[quantity.Seconds]{}) {
			same(got.Name+" latest", got.Latest, plate.Milliseconds(w.Latest))
			same(got.Name+" spare", got.Spare, plate.Milliseconds(w.Spare))
		}
	}
	best := x.Parry.Asked.Best
	same("smallest", s.Parry.Smallest, plate.Degrees(x.Parry.Asked.Smallest))
	same("path", s.Parry.Best.Path, plate.Centimetres(best.Path))
	same("leverage", s.Parry.Best.Leverage, plate.Ratio(best.Leverage))
	same("at the hit", s.Parry.AtHit.Needed, plate.Degrees(x.Parry.AtHit.Needed))
	if c := s.Parry.Course; len(c) != 2 || c[0].Path.Text != plate.Centimetres(x.Parry.Course[0].Path) || c[1].Path.Known() || s.Parry.Word != "lateral parry" {
		t.Errorf("course %+v", c)
	}
	same("made", s.Parry.Observed.Made, plate.Degrees(x.Parry.Observed.Judged.Made))
	same("riposte", s.Parry.Riposte.Ways[2].Hit, plate.Milliseconds(x.Parry.Riposte.Result.Indirect.Hit))
	if o := s.Parry.Observed; o.Word != "larger than needed" || o.Chance != o.Sizes[3].Number || len(s.Parry.Observed.Sizes) != 4 || s.Parry.Ceding == nil || s.Parry.Opposition == nil {
		t.Errorf("observed %+v", s.Parry.Observed)
	}
	for i, stop := range x.Map.Path {
		same("stop", s.Map.Stops[i].Gap, plate.Metres(stop.Gap))
		same("outruns", s.Map.Stops[i].Outruns, plate.Percent(stop.Cell.Outruns))
	}
	if len(s.Bodies) != 2 || len(s.Bodies[0].Can) != len(doings[:]) || s.Bodies[0].Front.Lands == nil || s.Bodies[1].Front.Lands != nil {
		t.Errorf("bodies %+v", s.Bodies)
	}
	for i, c := range s.Bodies[0].Can {
		if c.Free != (x.Commits[0].Can[i].Now >= 0.5) || !c.Free && c.Reason == "" {
			t.Errorf("can %+v", c)
		}
	}
	if len(s.Notes) != 2 || !s.Notes[1].Dismissed || s.Notes[0].Frame != 42 || len(s.Lacks) != 1 || s.Lacks[0].Who != "right" {
		t.Errorf("notes %+v, lacks %+v", s.Notes, s.Lacks)
	}
}

// TestStartsStandInTheirOrder, whatever order they came in.
func TestStartsStandInTheirOrder(t *testing.T) {
	s := Of(timed(t)).Timing.Started
	var got []string
	for _, x := range s.Starts {
		got = append(got, x.Who.String()+" "+x.Word)
	}
	if want := []string{"left hand", "left front foot", "right hand"}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if s.Starts[0].Moment != "launch" || s.Starts[0].Frame != 41 || len(s.Lags) != 1 || s.Lags[0].Of != mark.Left || s.Launch.Word != "into the opponent’s advance" {
		t.Errorf("%+v", s)
	}
}

// TestDifferencesAreWhatChanged: each is the second number less the first, and a
// change that moves nothing shows noughts.
func TestDifferencesAreWhatChanged(t *testing.T) {
	r := timed(t)
	w := Of(r).Timing.WhatIf
	answers := timing.Answers()
	if len(w.Differences) != 6+len(answers[:]) {
		t.Fatalf("%d differences", len(w.Differences))
	}
	if d := w.Differences[0]; d.Name != "left_only" || d.By.Text != "3\u00a0%" {
		t.Errorf("%+v", d)
	}
	if d := w.Differences[5]; d.Name != "margin" || d.By.Text != "11\u00a0ms" {
		t.Errorf("%+v", d)
	}
	r.Timing.WhatIf.Race, r.Timing.WhatIf.Windows = r.Timing.Race, r.Timing.Windows
	for _, d := range Of(r).Timing.WhatIf.Differences {
		if d.By.Value != "0" || d.Was != d.Then {
			t.Errorf("%+v", d)
		}
	}
}

// TestStatesGoByTheChance: three in four is open, one in four shut.
func TestStatesGoByTheChance(t *testing.T) {
	for c, want := range map[quantity.Chance]string{1: stateOpen, 0.75: stateOpen, 0.74: stateDoubtful, 0.26: stateDoubtful, 0.25: stateShut, 0: stateShut} {
		if got := stateOf(c); got != want {
			t.Errorf("%v is %s, want %s", c, got, want)
		}
	}
}

// TestHours: up is twelve, and the attacker's right is three.
func TestHours(t *testing.T) {
	for turn, want := range map[quantity.Radians]int{0: 12, math.Pi / 2: 3, math.Pi: 6, 1.5 * math.Pi: 9, 2 * math.Pi: 12, math.Pi / 6: 1, 6.1: 12} {
		if got := hourOf(turn); got != want {
			t.Errorf("%v is %d, want %d", turn, got, want)
		}
	}
}

// TestAProfileSaysFromWhere each number comes, in the unit that it has.
func TestAProfileSaysFromWhere(t *testing.T) {
	all := Of(timed(t)).Profiles
	if len(all) != 2 || len(all[0].Figures) != len(bout.OwnFigures()) || len(all[0].Fits) != 1 || len(all[1].Fits) != 0 {
		t.Fatalf("%+v", all)
	}
	for i, own := range bout.OwnFigures() {
		f := all[0].Figures[i]
		if unit := map[string]string{"m": "m", "s": "ms"}[own.Unit]; f.Name != own.Name || f.Word != own.Word || f.Value.Unit != unit || f.FromWord == "" || f.Source == "" {
			t.Errorf("%+v", f)
		}
	}
	if f := all[0].Figures[1]; f.From != study.FromFitted || f.Prior == nil || f.Prior.Text != "230\u00a0±\u00a040\u00a0ms" {
		t.Errorf("%+v", f)
	}
	if f := all[0].Fits[0]; len(f.Uses) != 2 || f.RMS.Text != "1\u00a0cm" {
		t.Errorf("%+v", f)
	}
	if got := Of(invented(t)).Profiles; got == nil || len(got) != 0 {
		t.Errorf("profiles of a reading without: %+v", got)
	}
}

// TestATimingOfNothingIsPrinted: every part may be missing; lists stay lists.
func TestATimingOfNothingIsPrinted(t *testing.T) {
	r := timed(t)
	for name, x := range map[string]*study.Timing{
		"empty": {}, "whole": r.Timing,
		"bare": {Windows: &study.Windows{}, Parry: &study.ParryReading{Observed: &study.ObservedParry{}, Riposte: &study.Riposte{}}, Map: &study.Map{},
			Commits: [2]*study.Commit{{}, {}}, Started: &study.Started{Launch: &study.Launch{}}, WhatIf: &study.WhatIf{Refused: "no"}},
	} {
		b, err := json.Marshal(TimingOf(x))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(b), ":null") || strings.Contains(string(b), "NaN") {
			t.Errorf("%s: %s", name, b)
		}
	}
	if TimingOf(nil) != nil {
		t.Error("a timing where there is none")
	}
	same := timed(t)
	Of(r)
	if !reflect.DeepEqual(r, same) {
		t.Error("printing changed the reading")
	}
}
