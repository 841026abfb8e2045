package script

import (
	"regexp"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// TestTheTakeAwayKnowsHowTheTouchCameOut: time for an answer is kept where its fencer hit
// alone, is a warning where the attacker did, and else is said as time and no more. The
// attacker of the fixture is left.
func TestTheTakeAwayKnowsHowTheTouchCameOut(t *testing.T) {
	open := quantity.FromCounts(990, 1000)
	shut := quantity.FromCounts(10, 1000)
	for _, c := range []struct {
		name     string
		lamps    *bout.Lamps
		in, far  quantity.Of[quantity.Chance] // each answer in time; the attack reaches
		has, not string
	}{
		{"the attacker hit", &bout.Lamps{Left: true}, open, open, "time alone does not win.", "Keep this: against this attack"},
		{"the defender hit", &bout.Lamps{Right: true}, open, open, "Keep this: against this attack there is", "yet"},
		{"both hit", &bout.Lamps{Left: true, Right: true}, open, open, "by time alone", "Keep this"},
		{"not known", nil, open, open, "by time alone", "Keep this"},
		{"the defender hit with nothing in time", &bout.Lamps{Right: true}, shut, open, "hits all the same: look at when", "Keep this"},
		{"nothing in time", &bout.Lamps{Left: true}, shut, open, "no answer is in time", "all the same"},
		{"an attack that falls short hit", &bout.Lamps{Left: true}, open, shut, "look at what closed the distance", "Keep this"},
		{"an attack falls short", &bout.Lamps{Right: true}, open, shut, "Keep this: if the target stays", "all the same"},
	} {
		for _, level := range levels {
			r := told(t)
			r.Touch.Lamps = c.lamps
			r.Timing.Windows.Arrives = c.far
			for i := range r.Timing.Windows.Each {
				r.Timing.Windows.Each[i].InTime = c.in
			}
			got := line(t, drafted(t, r, Options{Level: level}), "keep-answer").String()
			if !strings.Contains(got, c.has) || strings.Contains(got, c.not) {
				t.Errorf("%s, %s: %s", c.name, level, got)
			}
			if strings.Contains(got, "double") {
				t.Errorf("%s, %s keeps a double while another answer is open: %s", c.name, level, got)
			}
		}
	}
}

// TestTheOpeningAsksWhyOnlyWhereTheRaceWentTheOtherWay, and as surely as the race has it.
func TestTheOpeningAsksWhyOnlyWhereTheRaceWentTheOtherWay(t *testing.T) {
	for _, c := range []struct {
		lamps *bout.Lamps
		first int // of 1000, left
		want  string
	}{
		{&bout.Lamps{Right: true}, 990, "By time alone Maren’s point most likely arrives first, and Öberg hits: why?"},
		{&bout.Lamps{Right: true}, 600, ""},
		{&bout.Lamps{Left: true}, 990, ""},
		{&bout.Lamps{Left: true, Right: true}, 990, ""},
		{nil, 990, ""},
	} {
		r := told(t)
		r.Touch.Lamps = c.lamps
		x := r.Timing.Race
		x.LeftFirst, x.Neither = quantity.FromCounts(c.first, 1000), quantity.FromCounts(0, 1000)
		x.Margin = quantity.Normal[quantity.Seconds](0.02, 0.02) // it may be no lead: likely and not clear
		got := ""
		each(drafted(t, r, Options{}), func(_ string, l Line) {
			if l.Key == "why" {
				got = l.String()
			}
		})
		if got != c.want {
			t.Errorf("lamps %v, first in %d: %q, want %q", c.lamps, c.first, got, c.want)
		}
	}
}

// TestTheOpeningDoesNotSayTheTitleAgain: the card, the page and the chapter have it.
func TestTheOpeningDoesNotSayTheTitleAgain(t *testing.T) {
	s := drafted(t, told(t), Options{})
	if s.Title == "" {
		t.Fatal("the fixture has no title")
	}
	each(s, func(part string, l Line) {
		if part == PartOpening && strings.Contains(l.String(), s.Title) {
			t.Errorf("the title once more: %s", l)
		}
	})
}

// TestAChanceIsNeverNothingNorCertain: the house prints "< 1 %" and "> 99 %", whatever
// the draws gave.
func TestAChanceIsNeverNothingNorCertain(t *testing.T) {
	for _, v := range []quantity.Chance{0, 1} {
		all := quantity.Exactly(v)
		r := told(t)
		x := r.Timing
		x.Race.LeftFirst, x.Race.Neither, x.Race.LeftOnly, x.Race.RightOnly, x.Race.Both = all, quantity.Exactly(1-v), all, all, all
		x.Windows.Arrives = all
		for i := range x.Windows.Each {
			x.Windows.Each[i].InTime = all
		}
		x.Started.Order.SideFirst = [2]quantity.Of[quantity.Chance]{all, all}
		x.Started.Launch.Chance = v
		for i := range x.Parry.Observed.Judged.Chances {
			x.Parry.Observed.Judged.Chances[i] = all
		}
		if x.Parry.Riposte != nil {
			x.Parry.Riposte.Result.Direct.RiposteOnly = all
		}
		for _, s := range mark.Sides {
			for i := range r.Tactics.Habits[s].Choices {
				r.Tactics.Habits[s].Choices[i].Share = all
			}
		}
		for i := range r.Tactics.Payoff.Standings {
			r.Tactics.Payoff.Standings[i].Worth = all
		}
		edge := regexp.MustCompile(`(^|[^0-9.<>\x{a0}])(100|0)\x{a0}%`)
		facts, err := Facts(r, Options{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range facts {
			if strings.HasPrefix(f.Ref, "next/") || strings.HasPrefix(f.Ref, "story/") || strings.HasPrefix(f.Ref, "note/") {
				continue // as the study prints them
			}
			if strings.Contains(f.Text, "%") {
				n++
			}
			if edge.MatchString(f.Text) {
				t.Errorf("%s is printed as %q", f.Ref, f.Text)
			}
		}
		if n < 20 {
			t.Errorf("only %d chances were looked at", n)
		}
	}
}

// TestTooLittleIsSaidOnce: of both fencers in one sentence, and the choice that pays does
// not give the reason again.
func TestTooLittleIsSaidOnce(t *testing.T) {
	for _, level := range levels {
		r := told(t)
		for _, s := range mark.Sides {
			r.Tactics.Habits[s].TooLittle = true
		}
		r.Tactics.Payoff.TooLittle = true
		n := 0
		each(drafted(t, r, Options{Level: level}), func(part string, l Line) {
			if l.Claim != "told" && strings.Contains(strings.ToLower(l.String()), "too little is seen") {
				n++
			}
		})
		if n != 1 {
			t.Errorf("%s: it is said %d times", level, n)
		}
	}
}

// TestADoubleComesLastOfTheOpenAnswers, however sure it is.
func TestADoubleComesLastOfTheOpenAnswers(t *testing.T) {
	r := told(t)
	for i, w := range r.Timing.Windows.Each {
		n := 900
		if w.Answer == timing.ExtendDouble {
			n = 999
		}
		r.Timing.Windows.Each[i].InTime = quantity.FromCounts(n, 1000)
	}
	if got := line(t, drafted(t, r, Options{Level: Beginner}), "windows-open").String(); strings.Contains(got, "double") {
		t.Errorf("a beginner hears of the double: %s", got)
	}
}
