package script

import (
	"encoding/json"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/study"
)

// remeasured is the reading after a mark was moved: another lag, another gap.
func remeasured(t *testing.T) *study.Reading {
	r := told(t)
	r.Timing.Started.Lags[0].Time = quantity.Normal[quantity.Seconds](0.045, 0.011)
	r.Timing.Race.Runs[0].Gap = quantity.Normal[quantity.Metres](1.02, 0.05)
	r.Inputs = "other"
	return r
}

// TestAnEditedLineKeepsItsWordsAndItsNumbersFollow.
func TestAnEditedLineKeepsItsWordsAndItsNumbersFollow(t *testing.T) {
	s := drafted(t, told(t), Options{})
	l := line(t, s, "lag/left")
	l.Edit("Look at the hand: it leads by 60\u00a0±\u00a016\u00a0ms, and that is good.")
	if len(l.Unbound()) > 0 {
		t.Fatalf("the number came loose: %+v", l.Pieces)
	}
	b, err := json.Marshal(s) // as it is kept
	if err != nil {
		t.Fatal(err)
	}
	kept := &Script{}
	if err := json.Unmarshal(b, kept); err != nil {
		t.Fatal(err)
	}
	now, stale, err := Refresh(kept, remeasured(t))
	if err != nil {
		t.Fatal(err)
	}
	if got := line(t, now, "lag/left").String(); got != "Look at the hand: it leads by 45\u00a0±\u00a011\u00a0ms, and that is good." {
		t.Error(got)
	}
	if len(stale) != 0 {
		t.Errorf("stale: %+v", stale)
	}
	if got := line(t, now, "gap/left").String(); !strings.Contains(got, "1.02\u00a0±\u00a00.05\u00a0m") {
		t.Errorf("a line that was not edited: %s", got)
	}
	if again, _ := json.Marshal(kept); string(again) != string(b) {
		t.Error("the old script has changed")
	}
}

// TestAFrozenNumberIsStaleAfterAMeasurement, and marked where it stands; with the same
// reading nothing is.
func TestAFrozenNumberIsStaleAfterAMeasurement(t *testing.T) {
	s := drafted(t, told(t), Options{})
	line(t, s, "lag/left").Freeze(true)
	line(t, s, "gap/right").Freeze(true) // is not measured anew
	if _, stale, err := Refresh(s, told(t)); err != nil || len(stale) != 0 {
		t.Errorf("nothing was measured: %v %v", stale, err)
	}
	now, stale, err := Refresh(s, remeasured(t))
	if err != nil || len(stale) != 1 {
		t.Fatalf("%+v, %v", stale, err)
	}
	x := stale[0]
	at := now.Parts[x.Part].Lines[x.Line]
	if x.Why != StaleNumber || at.Key != "lag/left" || at.Pieces[x.Piece].Text != x.Was || x.Was != "60\u00a0±\u00a016\u00a0ms" || x.Now != "45\u00a0±\u00a011\u00a0ms" {
		t.Errorf("%+v", x)
	}
	if md := markdown(t, now, stale); !strings.Contains(md, "60\u00a0±\u00a016\u00a0ms **(now 45\u00a0±\u00a011\u00a0ms)** before") {
		t.Error("the page does not mark it")
	}
	line(t, now, "lag/left").Freeze(false)
	if live, stale, _ := Refresh(now, remeasured(t)); len(stale) != 0 || !strings.Contains(line(t, live, "lag/left").String(), "45") {
		t.Error("a number that lives again does not follow")
	}
}

// TestAClaimThatNoLongerStandsIsTold: the words of an edited line are the coach's, but
// they are marked; a line that was not edited is drafted anew.
func TestAClaimThatNoLongerStandsIsTold(t *testing.T) {
	r := told(t)
	r.Timing.Started.Lags[0].HandFirst = 0.5
	s := drafted(t, told(t), Options{})
	now, stale, err := Refresh(s, r)
	if err != nil || len(stale) != 0 || !strings.Contains(line(t, now, "lag/left").String(), "does not tell") {
		t.Errorf("%s %v %v", line(t, now, "lag/left"), stale, err)
	}
	line(t, s, "lag/left").Edit("The hand leads.")
	now, stale, err = Refresh(s, r)
	if err != nil || len(stale) != 1 || stale[0].Why != StaleClaim || line(t, now, "lag/left").String() != "The hand leads." || !strings.Contains(stale[0].Now, "does not tell") {
		t.Errorf("%+v %v", stale, err)
	}
	if !strings.Contains(markdown(t, now, stale), "no longer says this") {
		t.Error("the page does not mark it")
	}
}

// TestANumberThatIsGoneIsKeptAndTold.
func TestANumberThatIsGoneIsKeptAndTold(t *testing.T) {
	r := told(t)
	r.Timing.Parry = nil
	s := drafted(t, told(t), Options{})
	l := line(t, s, "parry")
	l.Edit(l.String() + " Mind that.")
	now, stale, err := Refresh(s, r)
	if err != nil {
		t.Fatal(err)
	}
	gone := 0
	for _, x := range stale {
		if x.Why == StaleGone {
			gone++
		}
	}
	if gone != 2 || !strings.HasSuffix(line(t, now, "parry").String(), "Mind that.") || has(now, "riposte") {
		t.Errorf("%d gone: %+v", gone, stale)
	}
}

// TestANumberDoesNotSlipUnderOtherWords: a story with a sentence more in front keeps each
// number under its own words, and one whose words have changed is gone.
func TestANumberDoesNotSlipUnderOtherWords(t *testing.T) {
	s := drafted(t, told(t), Options{})
	var key string
	for _, p := range s.Parts {
		for i := range p.Lines {
			if l := &p.Lines[i]; strings.Contains(l.String(), "hung on the touch") {
				key = l.Key
				l.Edit(l.String() + " So it weighs.")
			}
		}
	}
	r := told(t)
	r.Tactics.Story = append([]study.Sentence{{{Text: "Ash leads by "}, {Text: "88\u00a0%", From: "score"}, {Text: "."}}}, r.Tactics.Story...)
	for i := range r.Tactics.Story {
		for j, p := range r.Tactics.Story[i] {
			if p.Text == "9\u00a0% [7,\u00a011]" {
				r.Tactics.Story[i][j].Text = "12\u00a0% [9,\u00a014]"
			}
		}
	}
	now, stale, err := Refresh(s, r)
	if err != nil || len(stale) != 0 {
		t.Fatalf("%v %v", stale, err)
	}
	if got := line(t, now, key).String(); !strings.Contains(got, "and 12\u00a0% [9,\u00a014] of the bout") {
		t.Error(got)
	}
	// The sentence that is new today comes in, before the one that it stands before.
	if md := markdown(t, now, nil); !strings.Contains(md, "Ash leads by 88") || strings.Index(md, "Ash leads") > strings.Index(md, "hung on") {
		t.Error("a new sentence is not at its place")
	}
	r.Tactics.Story[2][0].Text = "Now Brook's parry stood at "
	if _, stale, _ = Refresh(s, r); len(stale) != 3 { // the claim, and both numbers
		t.Errorf("%+v", stale)
	}
}

// TestALineThatWasLeftOutStaysOut.
func TestALineThatWasLeftOutStaysOut(t *testing.T) {
	s := drafted(t, told(t), Options{})
	s.Parts[1].Lines = s.Parts[1].Lines[1:]
	now, _, err := Refresh(s, remeasured(t))
	if err != nil || has(now, "gap/left") || !has(now, "gap/right") {
		t.Errorf("%v", err)
	}
}

// TestANumberTypedByHandIsUnbound, and one that is a part of a longer one is not taken.
func TestANumberTypedByHandIsUnbound(t *testing.T) {
	l := Line{Pieces: []Piece{{Text: "touch "}, {Text: "8", Ref: "touch/number"}}}
	l.Edit("By 18 cm at touch 8.")
	if u := l.Unbound(); len(u) != 1 || u[0] != "By 18 cm at touch " || l.String() != "By 18 cm at touch 8." {
		t.Errorf("%q %+v", u, l.Pieces)
	}
}

// TestAnEditThatChangesNothingKeepsEveryNumber bound, in every line of every level.
func TestAnEditThatChangesNothingKeepsEveryNumber(t *testing.T) {
	for _, level := range levels {
		each(drafted(t, told(t), Options{Level: level}), func(_ string, l Line) {
			text, refs := l.String(), 0
			for _, p := range l.Pieces {
				if p.Ref != "" {
					refs++
				}
			}
			l.Edit(text)
			for _, p := range l.Pieces {
				if p.Ref != "" {
					refs--
				}
			}
			if l.String() != text || refs != 0 || len(l.Unbound()) > 0 {
				t.Errorf("%s: %d numbers came loose in %q", l.Key, refs, l.String())
			}
		})
	}
}

// A line of the coach's own is no claim that could fall: it stays where it stands, its
// numbers live.
func TestOwnLineStays(t *testing.T) {
	r := told(t)
	s := drafted(t, r, Options{})
	ref := s.Sources[0]
	own := Line{Key: OwnKey + "1", Pieces: []Piece{{Text: "Look: "}, {Text: "9.99 m", Ref: ref.Ref}}}
	s.Parts[1].Lines = append([]Line{own}, s.Parts[1].Lines...)
	fresh, stale, err := Refresh(s, r)
	if err != nil || len(stale) > 0 {
		t.Fatal(stale, err)
	}
	got := fresh.Parts[1].Lines[0]
	if got.Key != "own-1" || got.String() != "Look: "+ref.Text {
		t.Errorf("%+v", got)
	}
	for _, k := range drafted(t, r, Options{}).Offered {
		if strings.Contains(k, " "+OwnKey) {
			t.Errorf("%q is drafted under a key of the coach's own", k)
		}
	}
}
