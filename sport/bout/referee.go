package bout

import (
	"fmt"
	"strconv"
	"strings"

	"mesure/sport/mark"
)

// referee walks down a sheet and remembers what the next line depends on.
type referee struct {
	b     Bout
	score Score
	// relay is the relay under way in a team match.
	relay int
	// yellow and red are the fencers who have such a card.
	yellow, red map[string]bool
	// pYellow and pRed count the cards for unwillingness, by side.
	pYellow, pRed [2]int
	// over says how the bout ended before its last hit; empty while it goes on.
	over string

	period seen            // the last line that notes a period
	clock  seen            // the last line that notes a clock
	halts  map[string]seen // the last line of each video
	doubts []Doubt
}

// poolTouches is the length of a bout in a pool: one period of three minutes
// (t.38), without cards for unwillingness (t.124).
const poolTouches = 5

// seen is what a line noted.
type seen struct {
	number, period int
	clock          float64
	halt           mark.FileTime
}

func newReferee(b Bout) *referee {
	r := &referee{b: b, relay: 1, yellow: map[string]bool{}, red: map[string]bool{}, halts: map[string]seen{}}
	if b.Start != nil {
		r.score = *b.Start
	}
	return r
}

// halt fills in one line and goes on to the next.
func (r *referee) halt(i int, p Phrase) Phrase {
	p.Number, p.Before = max(1, r.b.First)+i, r.score
	doubt := func(code, text string, args ...any) {
		r.doubts = append(r.doubts, Doubt{i, code, fmt.Sprintf("line %d: ", p.Number) + fmt.Sprintf(text, args...)})
	}
	r.order(p, doubt)
	hits := r.b.hits(p, r.score)
	if hits != (Lamps{}) {
		r.ended(p, doubt)
	}
	r.given(p, doubt)
	was := r.score
	r.score = r.score.counts(hits)
	for _, c := range p.Cards {
		r.card(c, doubt)
	}
	if n := r.b.Touches; n > 0 && was.lead() < n && r.score.Left >= n && r.score.Right >= n {
		doubt("both-at-the-end", "both reach %d at this halt; one of them must have won before", n)
	}
	p.After = r.score
	return p
}

// ended doubts a hit that comes after an end.
func (r *referee) ended(p Phrase, doubt func(code, text string, args ...any)) {
	n := r.b.Touches
	switch {
	case r.over != "":
		doubt("after-the-end", "a hit after %s ended the bout", r.over)
	case n > 0 && r.score.lead() >= n:
		doubt("after-the-end", "a hit after the bout was won at %d–%d", r.score.Left, r.score.Right)
	case r.b.IsRelay() && p.Period > 0 && p.Period < relays && r.score.lead() >= relayStep*p.Period:
		doubt("after-the-relay", "a hit after relay %d had reached %d, at %d–%d", p.Period, relayStep*p.Period, r.score.Left, r.score.Right)
	}
}

// given doubts a decision that does not go with the lamps.
func (r *referee) given(p Phrase, doubt func(code, text string, args ...any)) {
	if p.Annulled || r.b.Weapon != Foil && r.b.Weapon != Sabre {
		return
	}
	switch {
	case p.Given == "" && p.Lamps.Left && p.Lamps.Right:
		doubt("not-given", "both lamps are lit; say to whom the hit was given, until then nobody has it")
	case p.Given == GivenLeft && !p.Lamps.Left, p.Given == GivenRight && !p.Lamps.Right:
		doubt("given-without-lamp", "the hit is given to the %s fencer, whose lamp is out", p.Given)
	}
}

// card counts one card.
func (r *referee) card(c Card, doubt func(code, text string, args ...any)) {
	who, opponent := r.fencer(c.To), c.To.Other()
	switch c.Colour {
	case Yellow:
		switch {
		case r.yellow[who]:
			doubt("second-yellow", "a second yellow card for the %v fencer; it counts as a red one", c.To)
			r.red[who], r.score = true, r.score.hit(opponent)
		case r.red[who]:
			doubt("yellow-after-red", "a yellow card for the %v fencer after a red one; it counts as a red one", c.To)
			r.score = r.score.hit(opponent)
		}
		r.yellow[who] = true
	case Red:
		r.red[who], r.score = true, r.score.hit(opponent)
	case Black:
		r.end("a black card")
	case PYellow, PRed, PBlack:
		r.unwilling(c, doubt)
	}
}

// unwilling counts a card for unwillingness to fight (t.124): yellow, then red,
// which is a hit for the opponent, then black, which ends the bout.
func (r *referee) unwilling(c Card, doubt func(code, text string, args ...any)) {
	n := r.b.Touches
	switch {
	case n == poolTouches:
		doubt("no-p-card", "cards for unwillingness are not given in bouts to 5")
	case n > 0 && r.score.lastHit(n):
		doubt("no-p-card", "no card for unwillingness is given at %d–%d", n-1, n-1)
	}
	switch c.Colour {
	case PYellow:
		if r.pYellow[c.To] > 0 {
			doubt("p-order", "a second yellow P-card for the %v fencer; after the first comes red", c.To)
		}
		r.pYellow[c.To]++
	case PRed:
		if r.pYellow[c.To] == 0 {
			doubt("p-order", "a red P-card for the %v fencer without a yellow one before it", c.To)
		}
		r.pRed[c.To]++
		r.score = r.score.hit(c.To.Other())
	case PBlack:
		if r.pRed[c.To] == 0 {
			doubt("p-order", "a black P-card for the %v fencer without a red one before it", c.To)
		}
		r.end("a black P-card")
	}
}

func (r *referee) end(how string) {
	if r.over == "" {
		r.over = how
	}
}

// fencer names who stands on a side at this halt. In a relay a card belongs to a
// fencer and not to the team: to the one whom the order names, else to whoever
// fences this relay.
func (r *referee) fencer(s mark.Side) string {
	if !r.b.IsRelay() {
		return s.String()
	}
	if t := r.b.Team; t != nil {
		order := t.Left
		if s == mark.Right {
			order = t.Right
		}
		if r.relay <= len(order) && order[r.relay-1] != "" {
			return s.String() + " " + order[r.relay-1]
		}
	}
	return fmt.Sprintf("%v %d", s, r.relay)
}

// order follows periods, relays, clock and videos, and doubts what runs
// backwards.
func (r *referee) order(p Phrase, doubt func(code, text string, args ...any)) {
	word := "period"
	if r.b.IsRelay() {
		word = "relay"
		for r.relay < relays && r.score.lead() >= relayStep*r.relay {
			r.relay++
		}
		if p.Period > 0 {
			r.relay = p.Period
		}
		if p.Period > relays {
			doubt("relay", "relay %d of a match of %d", p.Period, relays)
		}
	}
	now := seen{number: p.Number, period: p.Period, clock: clockOf(p.Clock)}
	if now.period > 0 {
		if r.period.period > now.period {
			doubt("period-back", "%s %d after %s %d on line %d", word, now.period, word, r.period.period, r.period.number)
		}
		r.period = now
	}
	if now.clock >= 0 {
		// The extra minute after a tie starts the clock again (t.38.2b, t.40.3).
		same := now.period == r.clock.period && (now.period > 0 || r.b.Touches == poolTouches)
		if r.clock.number > 0 && same && now.clock > r.clock.clock && now.clock > 60 {
			doubt("clock-back", "more time is left than on line %d", r.clock.number)
		}
		r.clock = now
	}
	if p.Video != "" && p.Halt > 0 {
		if above, ok := r.halts[p.Video]; ok && p.Halt < above.halt {
			doubt("video-back", "it stands earlier in its video than line %d", above.number)
		}
		r.halts[p.Video] = seen{number: p.Number, halt: p.Halt}
	}
}

// clockOf reads a clock such as "1:23" or "0:09.87" in seconds; −1 where it is
// none.
func clockOf(text string) float64 {
	minutes, seconds, ok := strings.Cut(text, ":")
	if !ok {
		minutes, seconds = "0", text
	}
	m, err := strconv.Atoi(minutes)
	s, bad := strconv.ParseFloat(seconds, 64)
	if err != nil || bad != nil || m < 0 || !(s >= 0) {
		return -1
	}
	return 60*float64(m) + s
}
