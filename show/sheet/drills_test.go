package sheet

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/script"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

func made(t *testing.T, r *study.Reading, o Options) *maker {
	t.Helper()
	m, err := newMaker(r, nil, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func names(all []finding) []string {
	var out []string
	for _, f := range all {
		out = append(out, f.name())
	}
	return out
}

// TestADrillFollowsFromWhatWasFound, and goes where the measurement no longer says it.
func TestADrillFollowsFromWhatWasFound(t *testing.T) {
	sure := func(i int, lo, mean quantity.Chance) func(*study.Reading) {
		return func(r *study.Reading) {
			j := &r.Timing.Parry.Observed.Judged
			j.Size = timing.Sizes()[i]
			for k := range j.Chances {
				j.Chances[k] = quantity.Of[quantity.Chance]{Mean: (1 - mean) / 3, SD: 0.01, Lo: 0, Hi: 1 - lo}
			}
			j.Chances[i] = quantity.Of[quantity.Chance]{Mean: mean, SD: 0.01, Lo: lo, Hi: 1}
		}
	}
	sizes := timing.Sizes()
	small, enough := slices.Index(sizes[:], timing.SizeSmall), slices.Index(sizes[:], timing.SizeEnough)
	for name, c := range map[string]struct {
		change    func(*study.Reading)
		has, lost string
	}{
		"as it is":       {func(*study.Reading) {}, "parry/larger-than-needed", ""},
		"a small parry":  {sure(small, 0.9, 0.95), "parry/too-small", "parry/larger-than-needed"},
		"enough":         {sure(enough, 0.9, 0.95), "parry/enough", "parry/too-small"},
		"cannot be told": {sure(small, 0.3, 0.6), "measure/reach", "parry/too-small"},
		"few doubles": {func(r *study.Reading) {
			r.Timing.Race.Both = quantity.Of[quantity.Chance]{Mean: 0.2, SD: 0.01, Lo: 0.18, Hi: 0.22}
		}, "launch/into", "double/both"},
		"foot first": {func(r *study.Reading) {
			l := r.Timing.Started.Lags[0]
			l.HandFirst = 0.01
			l.Time = quantity.Normal(quantity.Seconds(-0.06), 0.01)
		}, "hand-foot/foot", "hand-foot/hand"},
		"falls short": {func(r *study.Reading) {
			r.Timing.Windows.Arrives = quantity.Of[quantity.Chance]{Mean: 0.05, SD: 0.01, Lo: 0.03, Hi: 0.07}
		}, "short/falls", "answers/open"},
		"a favourite":     {func(r *study.Reading) { h := r.Tactics.Habits[1]; h.Choices[0].Share.Lo = h.Choices[1].Share.Hi + 0.01 }, "habit/clear", "habit/open"},
		"too little seen": {func(r *study.Reading) { r.Tactics.Habits[1].TooLittle = true }, "answers/beaten", "habit/open"},
		// The attacker of the fixture hit alone: an answer there was time for did not win.
		"the attacker hit": {func(*study.Reading) {}, "answers/beaten", "answers/open"},
		"the defender hit": {func(r *study.Reading) { r.Touch.Lamps = &bout.Lamps{Right: true} }, "answers/open", "answers/beaten"},
	} {
		r := told(t)
		c.change(r)
		got := names(made(t, r, Options{}).findings())
		if !slices.Contains(got, c.has) || c.lost != "" && slices.Contains(got, c.lost) {
			t.Errorf("%s: the findings are %v, which should have %s and not %s", name, got, c.has, c.lost)
		}
	}
}

// TestEveryFindingHasItsDrillAndQuestion in every level, and every drill says what one
// needs at the piste: set-up, distance with its ±, cue, action, when it is done, what then
// and how often.
func TestEveryFindingHasItsDrillAndQuestion(t *testing.T) {
	for _, l := range levels {
		m := made(t, told(t), Options{Level: l, Lesson: true})
		found := m.findings()
		s := m.drills(found)
		var all []drill
		for _, b := range s.Blocks {
			if d, ok := b.(drill); ok {
				all = append(all, d)
			}
		}
		if len(all) != len(found) || len(all) < 4 {
			t.Errorf("%s: %d drills for %v", l, len(all), names(found))
		}
		for _, d := range all {
			if len(d.Rows) != 7 || d.Form == "" || !d.For.numbered() {
				t.Errorf("%s: drill %q lacks something: %v", l, d.Title, d)
			}
			if r := d.Rows[1].Text.String(); !strings.Contains(r, "±") || !strings.Contains(r, "lunge") {
				t.Errorf("%s: drill %q has the distance %q", l, d.Title, r)
			}
		}
	}
}

// TestTheWordsAreWhole: every exercise is there on every level with all of its parts, asks
// for no number that its finding does not have, has its question and where to look, and is
// one of the teaching forms.
func TestTheWordsAreWhole(t *testing.T) {
	forms := []string{formLesson, formPartner, formChoice, formGame, formSecond, formTheme}
	slot := regexp.MustCompile(`\{([a-z0-9]+)\}`)
	has := map[string]string{
		"measure": "band target", "parry": "asked made target", "parry-asked": "needed target", "hand-foot": "hand foot target", "commit": "next", "answers": "answer chance",
		"short": "arrives", "double": "both window", "race": "first", "launch": "into chance hedge", "habit": "choice share second share2", "payoff": "choice worth",
	}
	for name, w := range english.Drills {
		kind, _, _ := strings.Cut(name, "/")
		for i := range levels {
			if !slices.Contains(forms, w.Form[i]) {
				t.Errorf("%s: %q is no teaching form", name, w.Form[i])
			}
			for part, text := range map[string]wording{"set-up": w.SetUp, "action": w.Action, "success": w.Success, "progress": w.Progress, "repeats": w.Repeats, "cue": w.Cue, "watch": english.Watch[kind], "question": english.Questions[kind]} {
				if text[i] == "" && part != "cue" {
					t.Errorf("%s: no %s for level %d", name, part, i)
				}
				for _, m := range slot.FindAllStringSubmatch(text[i], -1) {
					if !slices.Contains(append(strings.Fields(has[kind]), "who", "other", "target"), m[1]) {
						t.Errorf("%s: %s asks for {%s}", name, part, m[1])
					}
				}
				if strings.ContainsAny(text[i], "!±%") {
					t.Errorf("%s: %s has a number or a shout of its own: %q", name, part, text[i])
				}
			}
		}
	}
	if len(english.Drills) < 15 {
		t.Errorf("%d drills", len(english.Drills))
	}
}

// TestCautionsStandBeforeTheDrills: those of the trade for safety, at every level.
func TestCautionsStandBeforeTheDrills(t *testing.T) {
	for _, l := range levels {
		page := html1(t, told(t), Options{Lesson: true, Level: l})
		at := strings.Index(page, `class="drill"`)
		from := strings.Index(page, `id="h-drills"`)
		if at < 0 || from < 0 {
			t.Fatal("there is no drill")
		}
		for _, w := range []string{"regulation kit and mask", "tested equipment", "qualified coach", "Warm up", "safeguarding", "half speed", "Check every blade"} {
			if !strings.Contains(page[from:at], w) {
				t.Errorf("%s: %q does not stand before the first drill", l, w)
			}
		}
		if !strings.Contains(page, "no medical advice") {
			t.Error("no word that this is no medical advice")
		}
	}
}

var (
	_ = script.Club
	_ = mark.Left
)

// TestTheNumbersOfAPartAreThoseThatItSays: the lag by who starts first, never negative;
// and of the answers the one that is kept, no double while another one is open.
func TestTheNumbersOfAPartAreThoseThatItSays(t *testing.T) {
	r := told(t)
	l := r.Timing.Started.Lags[0]
	l.HandFirst, l.Time = 0.01, quantity.Normal(quantity.Seconds(-0.06), 0.01)
	for i := range r.Timing.Windows.Each {
		r.Timing.Windows.Each[i].InTime = quantity.FromCounts(950, 1000)
		if r.Timing.Windows.Each[i].Answer == timing.ExtendDouble {
			r.Timing.Windows.Each[i].InTime = quantity.FromCounts(999, 1000)
		}
	}
	m := made(t, r, Options{Lesson: true})
	seen := map[string]bool{}
	for _, part := range []string{script.PartTechnique, script.PartTiming, script.PartTakeAway} {
		for _, k := range m.keysOf(part) {
			for _, s := range k.Number {
				seen[s.Ref] = true
				if strings.HasPrefix(s.Text, "−") || s.Ref == "windows/in-time/"+string(timing.ExtendDouble) {
					t.Errorf("%s: %s is %s", part, s.Ref, s.Text)
				}
			}
		}
	}
	answers := 0
	for ref := range seen {
		if strings.HasPrefix(ref, "windows/in-time/") {
			answers++
		}
	}
	if answers != 1 || !slices.Contains(names(m.findings()), "hand-foot/foot") || m.lag(mark.Left) != "lag/foot-first/left" {
		t.Errorf("%d answers among %v", answers, seen)
	}
}

// TestTheHeadlineDoesNotStandAgainstTheLamps: where they went against the race, that is
// said beside it, as large, and not once more below.
func TestTheHeadlineDoesNotStandAgainstTheLamps(t *testing.T) {
	for _, against := range []bool{true, false} {
		r := told(t)
		r.Touch.Lamps = &bout.Lamps{Left: !against, Right: against} // the race has left first
		s := made(t, r, Options{}).finding()
		head, fine := s.Blocks[0].(para).Text.String(), s.Blocks[1].(para).Text.String()
		if strings.Contains(head, "It came otherwise") != against || strings.Contains(fine, "What came of the touch") == against {
			t.Errorf("against %v: %q and %q", against, head, fine)
		}
	}
}
