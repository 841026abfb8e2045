package main

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mesure/quantity"
	"mesure/tactics/chain"
)

// chanceOptions are the values that "mesure chance" works with.
type chanceOptions struct {
	Format chain.Format
	Rates  chain.Rates
	Score  chain.Score
	// Seen takes the place of Rates where phrases were counted.
	Seen *chain.Counts
	// Clock is nil where time does not count.
	Clock *chain.Clock
}

// The draws over counted phrases.
const (
	chanceDraws = 1000
	chanceSeed  = 1
)

func newChanceCommand(b *bench) *cobra.Command {
	var o chanceOptions
	var p, q, d float64
	var score, seen string
	var k clockOptions
	cmd := &cobra.Command{
		Use:   "chance --p P --q Q [--d D] [--score 9-10] [--to 15]",
		Short: "The chance to win a bout from a score, and what the next touch is worth",
		Long: `The chance to win a bout from a score, what hangs on the next single hit, and
what a double would be worth. Of every phrase P ends in a hit for me alone, Q in
one for the opponent alone, D in a double; D is the rest where it is left out,
and where all three are given, the rest ends without a hit. Or name the phrases
that were seen: then every number has the interval that so few leave. My hits
come first in a score.

A double at one hit from the end for both is void. With --clock time counts: the
leader wins when time is up; level, there is a minute for one hit, then the
priority wins. With --extra that minute is fenced. With --unwillingness every
minute without a hit brings both a P-card (t.124): yellow, then red, a hit for
each, then black, which decides for the leader, at a level score for the higher
seed.

` + exitHelp(),
		Example: `  mesure chance --to 15 --p 0.40 --q 0.35 --d 0.25 --score 9-10
  mesure chance --to 15 --seen 12,9,6 --score 9-10
  mesure chance --to 5 --p 0.45 --q 0.4 --score 3-3 --clock 1:10 --pace 2
  mesure chance --p 0.4 --q 0.4 --score 9-9 --clock 0:40 --extra --priority me`,
		Args: arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			given := cmd.Flags().Changed
			var err error
			if o.Score, err = readScore(score); err != nil {
				return err
			}
			switch {
			case given("seen") && (given("p") || given("q") || given("d")):
				return misuseHint("Give the chances of a phrase or the phrases that were seen.", "--seen and --p, --q, --d do not go together")
			case given("seen"):
				if o.Seen, err = readSeen(seen); err != nil {
					return err
				}
			case !given("p") || !given("q"):
				return misuseHint("Such as --p 0.40 --q 0.35 --d 0.25, or --seen 12,9,6 for phrases that were counted.", "--p and --q are needed")
			case !given("d"):
				d = max(0, 1-p-q)
			}
			o.Rates = chain.Rates{Me: quantity.Chance(p), Opponent: quantity.Chance(q), Double: quantity.Chance(d)}
			if o.Clock, err = k.clock(given); err != nil {
				return err
			}
			c, err := runChance(o)
			if err != nil {
				return err
			}
			return b.show(c, func() { b.printChance(o, c) })
		},
	}
	f := cmd.Flags()
	f.IntVar(&o.Format.To, "to", 15, "how many hits win")
	f.Float64Var(&p, "p", 0, "chance of a hit for me alone")
	f.Float64Var(&q, "q", 0, "chance of a hit for the opponent alone")
	f.Float64Var(&d, "d", 0, "chance of a double, else the rest")
	f.StringVar(&score, "score", "0-0", "the score, my hits first")
	f.StringVar(&seen, "seen", "", "phrases seen: for me, for the opponent, doubles")
	k.add(f)
	f.BoolVar(&o.Format.LastDoubleCounts, "last-double-counts", false, "a double at the last hit ends level; an even lot decides")
	for flag, w := range map[string]string{"to": "N", "p": "P", "q": "Q", "d": "D", "score": "ME-THEM", "seen": "N,N,N"} {
		word(f, flag, w)
	}
	return cmd
}

// chances is the result. The rates are taken as exact where they are given, so
// that its numbers are; Ranges stands where phrases were counted.
type chances struct {
	Win         quantity.Chance `json:"win"`
	Importance  quantity.Chance `json:"importance"`
	DoubleWorth quantity.Chance `json:"double_worth"`
	Ranges      *chain.Estimate `json:"ranges,omitempty"`
	Clock       *chain.Timed    `json:"clock,omitempty"`

	values  chain.Values
	phrases quantity.Ratio
	void    bool
}

func runChance(o chanceOptions) (*chances, error) {
	if o.Seen != nil {
		draws, err := o.Seen.Draws(chanceDraws, rand.NewPCG(chanceSeed, chanceSeed))
		if err != nil {
			return nil, chanceFault(err)
		}
		e, err := chain.Over(o.Format, draws, o.Score, o.Clock)
		if err != nil {
			return nil, chanceFault(err)
		}
		return &chances{Win: e.Win.Mean, Importance: e.Importance.Mean, DoubleWorth: e.DoubleWorth.Mean, Ranges: &e}, nil
	}
	c, err := chain.New(o.Format, o.Rates)
	if err != nil {
		return nil, chanceFault(err)
	}
	if err := o.Format.CheckScore(o.Score); err != nil {
		return nil, chanceFault(err)
	}
	r := &chances{values: c.At(o.Score), phrases: c.Phrases(o.Score), void: c.Void(o.Score)}
	if o.Clock != nil {
		v, t, err := c.AtTime(o.Score, *o.Clock)
		if err != nil {
			return nil, chanceFault(err)
		}
		r.values, r.Clock = v, &t
	}
	r.Win, r.Importance, r.DoubleWorth = r.values.Win, r.values.Importance, r.values.DoubleWorth
	return r, nil
}

// chanceFault names the flag that a number came from.
func chanceFault(err error) error {
	var bad *chain.BadInput
	if !errors.As(err, &bad) {
		return err
	}
	where := "--" + strings.Replace(bad.Field, "left", "clock", 1)
	if bad.Field == "rates" {
		where = ""
	}
	return &fault{code: wrongUse, where: where, err: err}
}

var scoreForm = regexp.MustCompile(`^\s*(\d{1,4})\s*[-–:]\s*(\d{1,4})\s*$`)

func readScore(text string) (chain.Score, error) {
	m := scoreForm.FindStringSubmatch(text)
	if m == nil {
		return chain.Score{}, misuseHint("Write my hits and the opponent's, such as --score 9-10.", "--score: %q is not a score", text)
	}
	me, _ := strconv.Atoi(m[1]) // digits alone
	opponent, _ := strconv.Atoi(m[2])
	return chain.Score{Me: me, Opponent: opponent}, nil
}

func readSeen(text string) (*chain.Counts, error) {
	parts := strings.Split(text, ",")
	var n [3]float64
	for i, p := range parts {
		v, err := strconv.ParseUint(strings.TrimSpace(p), 10, 20)
		if err != nil || len(parts) != len(n) {
			return nil, misuseHint("Write hits for me alone, for the opponent alone, and doubles, such as --seen 12,9,6.", "--seen: %q is not three counts", text)
		}
		n[i] = float64(v)
	}
	return &chain.Counts{Me: n[0], Opponent: n[1], Double: n[2]}, nil
}

func (b *bench) printChance(o chanceOptions, c *chances) {
	b.first(fmt.Sprintf("%d–%d in a bout to %d", o.Score.Me, o.Score.Opponent, o.Format.To))
	fmt.Fprintln(b.out)
	if e := c.Ranges; e != nil {
		t := b.table("", ">mean", ">95 % between", "")
		row := func(what string, q quantity.Of[quantity.Chance], form func(quantity.Chance) string) {
			t.row(what, form(q.Mean), form(q.Lo), "and "+form(q.Hi))
		}
		row("chance to win", e.Win, inHundred)
		row("importance of the touch", e.Importance, inHundred)
		row("worth of a double", e.DoubleWorth, signed)
		t.write(b.out)
		b.note(fmt.Sprintf("From %g phrases, by %d draws of what they leave open (seed %d). The interval says how little they tell of these two fencers, not how far a bout is from independent phrases.",
			o.Seen.Me+o.Seen.Opponent+o.Seen.Double, chanceDraws, chanceSeed))
		return
	}
	t := b.table("", ">chance to win", ">change")
	row := func(what string, v quantity.Chance) { t.row(what, inHundred(v), signed(v-c.Win)) }
	t.row("now", inHundred(c.Win))
	row("after a hit for me", c.values.AfterHit)
	row("after a hit for the opponent", c.values.AfterHitAgainst)
	if c.void {
		t.row("after a double", "void", "")
	} else {
		row("after a double", c.values.AfterDouble)
	}
	t.write(b.out)
	b.note(chanceWords(o, c))
}

func chanceWords(o chanceOptions, c *chances) string {
	s := []string{fmt.Sprintf("Between a hit for me and one for the opponent lie %s.", inHundred(c.Importance))}
	switch worth := signed(c.DoubleWorth); {
	case c.void || o.Clock != nil && o.Clock.Extra:
		s = append(s, "A double is void here.")
	case strings.HasPrefix(worth, "0.0"):
		s = append(s, "A double changes next to nothing.")
	case c.DoubleWorth > 0:
		s = append(s, "A double helps me: "+worth+".")
	default:
		s = append(s, "A double helps the opponent: "+worth+" for me.")
	}
	if k := c.Clock; k != nil && o.Clock.Extra {
		s = append(s, fmt.Sprintf("A hit falls in the minute with %s; without one the priority wins.", inHundred(k.InTime)))
	} else if k != nil {
		s = append(s, fmt.Sprintf("Hits decide in time with %s, time runs out level with %s.", inHundred(k.InTime), inHundred(k.Tied)))
		if o.Clock.Unwilling != nil {
			s = append(s, fmt.Sprintf("Black P-cards end it with %s.", inHundred(k.Black)))
		}
	} else {
		s = append(s, fmt.Sprintf("About %.0f more phrases.", math.Round(float64(c.phrases))))
	}
	if rest := 1 - o.Rates.Me - o.Rates.Opponent - o.Rates.Double; rest > 5e-4 {
		s = append(s, fmt.Sprintf("%s of the phrases end without a hit.", inHundred(rest)))
	}
	return strings.Join(append(s, "The chances of a phrase are taken as exact, and the same in every phrase."), " ")
}

// inHundred prints a chance that follows from exact numbers.
func inHundred(v quantity.Chance) string { return fmt.Sprintf("%.1f"+noBreak+"%%", 100*float64(v)) }

// signed prints a change of a chance with its sign.
func signed(v quantity.Chance) string {
	s := inHundred(quantity.Chance(math.Abs(float64(v))))
	switch {
	case strings.HasPrefix(s, "0.0"):
		return s
	case v < 0:
		return "−" + s
	}
	return "+" + s
}
