package main

import (
	"regexp"
	"strconv"

	"github.com/spf13/pflag"

	"mesure/quantity"
	"mesure/tactics/chain"
)

// clockOptions are what "mesure chance" is told of the time.
type clockOptions struct {
	left, priority, seeded string
	pace                   float64
	extra, unwillingness   bool
	cards                  int
	since                  float64
}

func (k *clockOptions) add(f *pflag.FlagSet) {
	f.StringVar(&k.left, "clock", "", "fencing time that is left")
	f.StringVar(&k.left, "left", "", "the same as --clock")
	f.MarkHidden("left")
	f.Float64Var(&k.pace, "pace", 2, "phrases a minute of fencing")
	f.StringVar(&k.priority, "priority", "lot", "who has it: me, opponent, or lot if not drawn")
	f.BoolVar(&k.extra, "extra", false, "the time left is that of the extra minute")
	f.BoolVar(&k.unwillingness, "unwillingness", false, "count minutes without a hit (t.124)")
	f.IntVar(&k.cards, "cards", 0, "P-cards that both have seen: 0, 1 or 2")
	f.Float64Var(&k.since, "since", 0, "seconds since the last hit, P-card or start of a period")
	f.StringVar(&k.seeded, "seeded", "lot", "who is seeded higher: me, opponent, or lot if not known")
	for flag, w := range map[string]string{"clock": "M:SS", "pace": "N", "priority": "WHO", "cards": "N", "since": "S", "seeded": "WHO"} {
		word(f, flag, w)
	}
}

// clock is what the flags say, nil where time does not count.
func (k *clockOptions) clock(given func(string) bool) (*chain.Clock, error) {
	if !given("clock") && !given("left") {
		for _, flag := range []string{"pace", "priority", "extra", "unwillingness"} {
			if given(flag) {
				return nil, misuseHint("Add the fencing time that is left, such as --clock 2:30.", "--%s needs --clock", flag)
			}
		}
	}
	if !k.unwillingness && (given("cards") || given("since") || given("seeded")) {
		return nil, misuseHint("They belong to minutes without a hit: add --unwillingness, or leave them out.", "--cards, --since and --seeded need --unwillingness")
	}
	if !given("clock") && !given("left") {
		return nil, nil
	}
	left, ok := readTime(k.left)
	if !ok {
		return nil, misuseHint("Write minutes and seconds, such as --clock 2:30.", "--clock: %q is not a time", k.left)
	}
	c := &chain.Clock{PerMinute: k.pace, Left: left, Extra: k.extra}
	var err error
	if c.Priority, err = chanceFor("priority", k.priority); err != nil {
		return nil, err
	}
	if k.unwillingness {
		c.Unwilling = &chain.Unwilling{Shown: k.cards, Since: quantity.Seconds(k.since)}
		if c.Unwilling.Seeded, err = chanceFor("seeded", k.seeded); err != nil {
			return nil, err
		}
	}
	return c, nil
}

var clockForm = regexp.MustCompile(`^(?:(\d{1,3}):)?(\d{1,4}(?:\.\d{1,3})?)$`)

// readTime reads minutes and seconds, or seconds.
func readTime(text string) (quantity.Seconds, bool) {
	m := clockForm.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	minutes, _ := strconv.Atoi("0" + m[1]) // digits alone
	seconds, _ := strconv.ParseFloat(m[2], 64)
	if m[1] != "" && seconds >= 60 {
		return 0, false
	}
	return quantity.Seconds(float64(minutes*60) + seconds), true
}

// chanceFor is the chance that something falls to me by the words me, opponent and lot.
func chanceFor(flag, who string) (quantity.Chance, error) {
	switch who {
	case "me":
		return 1, nil
	case "opponent":
		return 0, nil
	case "lot":
		return 0.5, nil
	}
	return 0, misuseHint("Write me, opponent or lot.", "--%s: %q is nobody", flag, who)
}
