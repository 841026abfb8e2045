package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/chain"
)

// BoutClock is the time of a bout, as its sheet and the ask have it.
type BoutClock struct {
	// Total is the fencing time of the format, all periods together, Left what is left
	// after the last line; nil where that is not known.
	Total quantity.Seconds  `json:"total_s"`
	Left  *quantity.Seconds `json:"left_s,omitempty"`
	// Pace is how many touches with a hit there are in a minute of fencing: the Gamma law
	// of Hits in Over seconds, with PriorHits in PriorOver seconds added.
	Pace      quantity.Of[quantity.Ratio] `json:"pace_per_minute"`
	Hits      int                         `json:"hits"`
	Over      quantity.Seconds            `json:"over_s"`
	PriorHits float64                     `json:"prior_hits"`
	PriorOver quantity.Seconds            `json:"prior_over_s"`
	// Whole says that every score is valued with its clock; else only the one asked about
	// is.
	Whole bool `json:"whole"`
	// Priority and Unwillingness are those of the ask.
	Priority      string `json:"priority,omitempty"`
	Unwillingness bool   `json:"unwillingness,omitempty"`
}

// The pace before anything was seen is TouchesPerMinute. It weighs as much as two touches.
const (
	pacePriorHits                  = 2
	pacePriorOver quantity.Seconds = 60 * pacePriorHits / TouchesPerMinute
)

// periodLength is that of a period (t.38–t.42).
const periodLength = chain.Period

// periodsOf is how many periods a bout has: one in a pool (t.38), two of veterans (t.42),
// else three (t.39).
func periodsOf(to int) int {
	switch {
	case to <= 5:
		return 1
	case to <= 10:
		return 2
	}
	return 3
}

// standTime is the time at which one score stands.
type standTime struct {
	known bool
	left  quantity.Seconds
	// extra says that left is that of the extra minute.
	extra bool
	// since and shown are those of chain.Unwilling.
	since quantity.Seconds
	shown int
}

// boutTimes are the times of all scores of a bout: before each line, and after the last.
type boutTimes struct {
	stands   []standTime
	clock    *BoutClock
	priority quantity.Chance // of the left fencer, by the ask
	asked    int             // the stand that the ask is about
	rule     *chain.Unwilling
}

// timesOf reads the clock of the lines and the ask. Times that cannot be are doubts, and
// then the clock is left out. It returns nil where nothing is known of the time.
func timesOf(a BoutAsk, lines []BoutLine, f chain.Format) (*boutTimes, []Warning, error) {
	if a.Bout.IsRelay() {
		if a.Clock != nil {
			return nil, []Warning{{Code: "clock-relay", About: "clock", Text: "the time of a relay is not in its value; its stages are taken to end by hits"}}, nil
		}
		return nil, nil, nil
	}
	t := &boutTimes{clock: &BoutClock{PriorHits: pacePriorHits, PriorOver: pacePriorOver, Total: quantity.Seconds(periodsOf(f.To)) * periodLength}, priority: 0.5, asked: len(lines)}
	doubts := t.follow(lines, periodsOf(f.To))
	noted := false
	for _, l := range lines {
		noted = noted || l.Clock != ""
	}
	if !noted && a.Clock == nil {
		return nil, nil, nil
	}
	if !noted {
		doubts = nil
	}
	t.clock.Whole = noted && len(doubts) == 0
	t.fit(lines)
	if !t.clock.Whole {
		for i := range t.stands {
			t.stands[i].known = false
		}
	}
	if a.Clock != nil {
		more, err := t.ask(a, lines, f)
		if err != nil {
			return nil, nil, err
		}
		doubts = append(doubts, more...)
	} else if !t.clock.Whole {
		return nil, doubts, nil
	}
	if last := t.stands[len(lines)]; last.known {
		left := last.left
		t.clock.Left = &left
	}
	return t, doubts, nil
}

// follow takes the times of the lines one after the other. The first doubt stands for
// all: a time that cannot be leaves those after it open.
func (t *boutTimes) follow(lines []BoutLine, periods int) []Warning {
	t.stands = make([]standTime, len(lines)+1)
	period, clock := 1, periodLength
	at := func(c quantity.Seconds, period int) quantity.Seconds {
		return quantity.Seconds(max(0, periods-period))*periodLength + c
	}
	if len(lines) > 0 && lines[0].Number <= 1 && lines[0].Before == (bout.Score{}) {
		t.stands[0] = standTime{known: true, left: at(clock, period)}
	}
	var doubts []Warning
	wrong := func(l BoutLine, code, text string, args ...any) {
		if len(doubts) == 0 {
			doubts = append(doubts, Warning{Code: code, About: fmt.Sprintf("touch %d", l.Number),
				Text: "the time is left out of the values of the bout: " + fmt.Sprintf(text, args...)})
			return
		}
		doubts[0].Doubt++
	}
	for i, l := range lines {
		before, now := t.stands[i], &t.stands[i+1]
		now.shown = max(before.shown, l.Shown)
		c, ok := clockLeft(l.Clock)
		p := l.Period
		if p == 0 {
			if p = period; ok && c > clock {
				p++
			}
		}
		switch {
		case l.Clock == "":
			wrong(l, "clock-missing", "touch %d has none; write the time left on every line or on none", l.Number)
			continue
		case !ok || c > periodLength || p > periods && c > chain.ExtraMinute:
			wrong(l, "clock-impossible", "%q cannot be what is left of a period at touch %d", l.Clock, l.Number)
			continue
		case p > periods+1 || p > periods && l.Before.Left != l.Before.Right:
			wrong(l, "clock-impossible", "a bout of %s has no period %d at %s", countOf(periods, "period", "periods"), p, scoreWords(l.Before))
			continue
		case p < period || p == period && c > clock:
			wrong(l, "clock-back", "touch %d has more time left than the one before it", l.Number)
			continue
		}
		*now = standTime{known: true, left: at(c, p), extra: p > periods, shown: now.shown}
		if l.outcome() == "none" && l.Shown == 0 && before.known && !now.extra {
			now.since = before.since + before.left - now.left
			if p > period { // the minute starts again with the period
				now.since = periodLength - c
			}
			now.since = quantity.Seconds(math.Mod(float64(now.since), float64(chain.Hitless)))
		}
		if i == 0 && !t.stands[0].known { // a sheet that begins in mid-bout: as if the phrase took no time
			t.stands[0] = *now
		}
		period, clock = p, c
	}
	return doubts
}

// fit takes the pace from the lines whose time is known.
func (t *boutTimes) fit(lines []BoutLine) {
	k := t.clock
	first := t.stands[0]
	hits := 0
	for i, l := range lines {
		if l.outcome() != "none" {
			hits++
		}
		if s := t.stands[i+1]; first.known && s.known && !s.extra && !first.extra {
			k.Hits, k.Over = hits, first.left-s.left
		}
	}
}

// ask takes what the ask says of the time at one score.
func (t *boutTimes) ask(a BoutAsk, lines []BoutLine, f chain.Format) ([]Warning, error) {
	k := a.Clock
	if a.ClockAt > 0 && a.ClockAt <= len(lines) {
		t.asked = a.ClockAt - 1
	}
	var doubts []Warning
	doubt := func(code, text string) { doubts = append(doubts, Warning{Code: code, About: "clock", Text: text}) }
	if !(k.Left >= 0 && k.Left <= chain.MaxLeft) {
		return nil, &Refusal{At: "/clock/left", What: fmt.Sprintf("%g s is no time that can be left", float64(k.Left)), Mend: "Write the fencing time that is left, such as 2:30."}
	}
	s := scoreBefore(lines, t.asked)
	at := &t.stands[t.asked]
	if k.Left > t.clock.Total {
		doubt("clock-long", fmt.Sprintf("a bout to %d has %s of fencing; no more is taken", f.To, timeWords(t.clock.Total)))
	}
	at.known, at.left, at.extra = true, min(k.Left, t.clock.Total), false
	switch k.Priority {
	case "":
	case mark.Left.String(), mark.Right.String():
		if t.priority = 0; k.Priority == mark.Left.String() {
			t.priority = 1
		}
		switch {
		case s.Left != s.Right:
			doubt("priority-not-level", fmt.Sprintf("at %s nobody has the priority: the lot is drawn for a level score; it is not looked at", scoreWords(s)))
			t.priority = 0.5
		case k.Left > chain.ExtraMinute:
			doubt("priority-early", "the lot is drawn when time is up: the extra minute is taken, and the time that is left is not")
			at.left = chain.ExtraMinute
			fallthrough
		default:
			at.extra, t.clock.Priority = true, k.Priority
		}
	default:
		return nil, &Refusal{At: "/clock/priority", What: fmt.Sprintf("%q is nobody who can have the priority", k.Priority), Mend: "Write left or right, or leave it out before the lot is drawn."}
	}
	if !k.Unwillingness {
		return doubts, nil
	}
	u := &chain.Unwilling{Seeded: 0.5}
	switch k.Seeded {
	case "":
	case mark.Left.String():
		u.Seeded = 1
	case mark.Right.String():
		u.Seeded = 0
	default:
		return nil, &Refusal{At: "/clock/seeded", What: fmt.Sprintf("%q is nobody who can be seeded higher", k.Seeded), Mend: "Write left or right, or leave it out where it is not known."}
	}
	if f.To <= chain.PoolTo {
		doubt("no-p-card", fmt.Sprintf("cards for unwillingness are not given in a bout to %d; they are left out", f.To))
		return doubts, nil
	}
	t.rule, t.clock.Unwillingness = u, true
	return doubts, nil
}

// paces draws the pace that the sheet leaves open, one for each draw of the rates.
func (t *boutTimes) paces(n int) []quantity.Ratio {
	k := t.clock
	minutes := float64(k.Over+k.PriorOver) / 60
	law := distuv.Gamma{Alpha: k.PriorHits + float64(k.Hits), Beta: minutes, Src: rand.NewPCG(boutSeed, boutSeed+1)}
	all := make([]quantity.Ratio, n)
	for i := range all {
		all[i] = quantity.Ratio(min(law.Rand(), chain.MaxPerMinute))
	}
	k.Pace = quantity.FromDraws(all)
	return all
}

// longest is the most time that is left at any score.
func (t *boutTimes) longest() (left quantity.Seconds) {
	for _, s := range t.stands {
		if s.known && !s.extra {
			left = max(left, s.left)
		}
	}
	return left
}

// clockLeft reads a clock as the apparatus shows it, such as "1:23" or "0:09.87".
func clockLeft(text string) (quantity.Seconds, bool) {
	text = strings.TrimSpace(text)
	minutes, seconds, ok := strings.Cut(text, ":")
	if !ok {
		minutes, seconds = "0", text
	}
	m, err := strconv.ParseUint(minutes, 10, 16)
	s, bad := strconv.ParseFloat(seconds, 64)
	if err != nil || bad != nil || !(s >= 0 && s < 60) && ok || !(s >= 0 && s <= float64(periodLength)) {
		return 0, false
	}
	return quantity.Seconds(60*float64(m) + s), true
}

// timeWords prints a time that is left as a clock does.
func timeWords(s quantity.Seconds) string {
	whole := int(math.Round(float64(s)))
	return fmt.Sprintf("%d:%02d", whole/60, whole%60)
}
