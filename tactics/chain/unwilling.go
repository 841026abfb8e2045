package chain

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Unwilling is the rule of unwillingness to fight (t.124 of the FIE's Technical Rules
// as of January 2023), as far as a bout stands in it. A minute of fencing without a hit
// brings both fencers a yellow P-card, the second such minute a red one, which is a hit
// for each, the third a black one: whoever is behind has lost, at a level score the
// lower initial seed.
//
// The minute starts again after a hit, a card and at the start of a period. It is not
// counted at one hit from the end for both, nor in the extra minute, nor in bouts to
// PoolTo.
type Unwilling struct {
	// Shown is how many P-cards both have seen: 0, 1 for yellow, 2 for red.
	Shown int
	// Since is the fencing time since the minute last started, below a minute.
	Since quantity.Seconds
	// Seeded is the chance that I am the higher initial seed: 1 or 0 where it is known,
	// 0.5 where a lot would decide.
	Seeded quantity.Chance
}

// The numbers of the rule.
const (
	// PoolTo is the number of hits of a bout in a pool, in which no P-card is given.
	PoolTo = 5
	// Hitless is the fencing time without a hit that brings a P-card (t.124).
	Hitless quantity.Seconds = 60
	// Period is the length of a period (t.39): after it the minute starts again. Periods
	// are counted from the end of the bout.
	Period quantity.Seconds = 180
	// MaxUnwilling is the greatest time left in which P-cards are followed: nine
	// periods, as many as a relay has.
	MaxUnwilling = 9 * Period
	// UnwillingTolerance is the greatest error of the values with P-cards, which are
	// computed on a grid of time; held against grids twice as fine.
	UnwillingTolerance = 1e-6
)

// blackCard is the third P-card.
const blackCard = 3

// Check returns a *BadInput where the rule cannot stand so.
func (u Unwilling) Check(f Format, left quantity.Seconds) error {
	switch {
	case f.To <= PoolTo:
		return &BadInput{"unwillingness", fmt.Sprintf("in a bout to %d no card is given for unwillingness", f.To), "Leave it out: the rule is for direct elimination and teams."}
	case u.Shown < 0 || u.Shown >= blackCard:
		return &BadInput{"unwillingness", fmt.Sprintf("%d P-cards cannot have been shown", u.Shown), "0 before any, 1 after the yellow ones, 2 after the red ones."}
	case !(u.Since >= 0 && u.Since < Hitless):
		return &BadInput{"unwillingness", fmt.Sprintf("%g s since the last hit is not from 0 to below %g s", float64(u.Since), float64(Hitless)), "Write the fencing time since the last hit or card."}
	case !(u.Seeded >= 0 && u.Seeded <= 1):
		return &BadInput{"unwillingness", fmt.Sprintf("%g is not a chance to be seeded higher", float64(u.Seeded)), "It is 1 or 0, or 0.5 where it is not known."}
	case left > MaxUnwilling:
		return &BadInput{"left", fmt.Sprintf("%g s are more than the %g s over which P-cards are followed", float64(left), float64(MaxUnwilling)), "Write the fencing time that is left, such as 2:30."}
	}
	return nil
}

// payout is what the ends of a bout are worth, for one question about it.
type payout struct {
	// hits is the worth of a score at which one side has N, time that of a score when
	// time is up, black that of a score at the black card.
	hits, time, black func(i, j int) float64
	// last is the worth of one hit from the end for both with so much time left.
	last func(left float64) float64
}

// patient holds what every score is worth at every time by the rule of Unwilling, with
// the minute just started:
//
//	f(t) = ∫₀^m μe^(−μx) G(t−x) dx + e^(−μm)·K(t−m),  m = min(a minute, to the end of the period)
//
// μ is the pace of hits, G(t) the mean of what a hit leads to with t left, K what the
// card brings, or the next period, or the end. Between multiples of a minute all of
// them are smooth; there f has jumps, because a minute that ends with the bout brings
// no card. So every minute has a grid of its own, G is taken as a cubic through four of
// its points, and against e^(−μx) it is integrated exactly.
type patient struct {
	c       *Chain
	pay     payout
	mu      float64 // hits a second
	steps   int     // of a minute
	minutes int
	kernel  kernel
	// rows[i] are the values with i hits for me: of each j, each number of cards and
	// each minute, steps+1 points. A row is nil where it was not asked for.
	rows [][]float64
}

// Steps of a minute of the grid: so many that a step has gridHits hits on average, at
// least gridLeast and at most gridMost; beyond a pace at which a minute without a hit is
// rarer than 1e-15 the rule changes nothing.
const (
	gridLeast = 12
	gridMost  = 600
	rareRule  = 35
)

// solvePatient values the scores from this one on at all times up to left.
func solvePatient(c *Chain, from Score, k Clock, pay payout, gridHits float64) *patient {
	p := &patient{c: c, pay: pay, mu: k.PerMinute / 60 * c.rates.sum(), minutes: max(1, int(math.Ceil(float64(k.Left/Hitless))))}
	p.steps = min(gridMost, max(gridLeast, int(math.Ceil(p.mu*float64(Hitless)/gridHits))))
	p.kernel = newKernel(p.mu, float64(Hitless)/float64(p.steps), p.steps)
	n := c.format.To
	p.rows = make([][]float64, n)
	width := p.minutes * (p.steps + 1)
	g, run := make([]float64, width), make([]float64, width)
	for i := n - 1; i >= from.Me; i-- {
		p.rows[i] = make([]float64, n*blackCard*width)
		for j := n - 1; j >= from.Opponent; j-- {
			for shown := blackCard - 1; shown >= 0; shown-- {
				p.fill(i, j, shown, g, run)
			}
		}
	}
	return p
}

// course returns the values of one score and number of cards, nil where the bout is
// over or the rule is not in force.
func (p *patient) course(i, j, shown int) []float64 {
	width := p.minutes * (p.steps + 1)
	at := (j*blackCard + shown) * width
	return p.rows[i][at : at+width]
}

// lastHit reports whether one hit is left for both, where no minute is counted.
func (p *patient) lastHit(i, j int) bool { n := p.c.format.To; return i == n-1 && j == n-1 }

// point is a value on the grid: minute m, step z of it.
func (p *patient) point(i, j, shown, m, z int) float64 {
	switch n := p.c.format.To; {
	case i >= n || j >= n:
		return p.pay.hits(i, j)
	case shown >= blackCard:
		return p.pay.black(i, j)
	}
	return p.course(i, j, shown)[m*(p.steps+1)+z]
}

// next writes what the next hit leads to on average over the minutes of the grid.
func (p *patient) next(i, j, shown int, g []float64) {
	for z := range g {
		g[z] = 0
	}
	n := p.c.format.To
	for _, to := range [3]struct {
		i, j  int
		share float64
	}{{i + 1, j, p.c.p}, {i, j + 1, p.c.q}, {i + 1, j + 1, p.c.d}} {
		if to.i >= n || to.j >= n {
			for z, v := 0, to.share*p.pay.hits(to.i, to.j); z < len(g); z++ {
				g[z] += v
			}
			continue
		}
		for z, v := range p.course(to.i, to.j, shown)[:len(g)] {
			g[z] += float64(to.share * v)
		}
	}
}

// hit is the mean of what the next hit leads to, at one point of the grid.
func (p *patient) hit(i, j, shown, m, z int) float64 {
	c := p.c
	return float64(c.p*p.point(i+1, j, shown, m, z)) + float64(c.q*p.point(i, j+1, shown, m, z)) + float64(c.d*p.point(i+1, j+1, shown, m, z))
}

// carded is the score and the number of cards after a further card.
func carded(i, j, shown int) (int, int, int) {
	if shown++; shown == blackCard-1 { // red: a hit for each
		i, j = i+1, j+1
	}
	return i, j, shown
}

// perPeriod is how many minutes a period has.
const perPeriod = int(Period / Hitless)

// fill computes the course of one score; g and run are room to work in.
func (p *patient) fill(i, j, shown int, g, run []float64) {
	f := p.course(i, j, shown)
	n, h := p.steps+1, float64(Hitless)/float64(p.steps)
	if p.lastHit(i, j) {
		for m := range p.minutes {
			for z := range n {
				f[m*n+z] = p.pay.last(float64(m)*float64(Hitless) + float64(z)*h)
			}
		}
		return
	}
	p.next(i, j, shown, g)
	for m := range p.minutes {
		p.kernel.run(g[m*n:(m+1)*n], run[m*n:(m+1)*n])
		end := 0.0 // with the period's end
		if m%perPeriod == 0 {
			if end = p.pay.time(i, j); m > 0 {
				end = f[m*n-1]
			}
		}
		i2, j2, s2 := carded(i, j, shown)
		whole := p.kernel.fade[p.steps]
		for z := range n {
			if m%perPeriod == 0 {
				f[m*n+z] = run[m*n+z] + float64(p.kernel.fade[z]*end)
				continue
			}
			before := float64(p.kernel.fade[z]*run[m*n-1]) - float64(whole*run[(m-1)*n+z])
			f[m*n+z] = run[m*n+z] + before + float64(whole*p.point(i2, j2, s2, m-1, z))
		}
	}
}

// kernel integrates a function on the grid against e^(−μx): weights of four points for
// one step, at the first step, in between and at the last.
type kernel struct {
	w    [3][4]float64
	fade []float64 // e^(−μ·z·h)
}

func newKernel(mu, h float64, steps int) kernel {
	k := kernel{fade: make([]float64, steps+1)}
	for z := range k.fade {
		k.fade[z] = math.Exp(-mu * h * float64(z))
	}
	for at := range k.w {
		// The step runs from 0 to 1, its four points stand at at-dependent places.
		nodes := [4]float64{0 - float64(at), 1 - float64(at), 2 - float64(at), 3 - float64(at)}
		for i, x := range gaussNodes {
			y := (1 + x) / 2
			e := mu * h * math.Exp(-mu*h*(1-y)) * gaussWeights[i] / 2
			for a := range nodes {
				k.w[at][a] += float64(e * lagrange(nodes, a, y))
			}
		}
	}
	return k
}

// The nodes and weights of Gauss and Legendre with eight points (Abramowitz and Stegun
// 1964, table 25.4).
var (
	gaussNodes = [8]float64{-0.960289856497536, -0.796666477413627, -0.525532409916329, -0.183434642495650,
		0.183434642495650, 0.525532409916329, 0.796666477413627, 0.960289856497536}
	gaussWeights = [8]float64{0.101228536290376, 0.222381034453374, 0.313706645877887, 0.362683783378362,
		0.362683783378362, 0.313706645877887, 0.222381034453374, 0.101228536290376}
)

// lagrange is the polynomial through four nodes that is 1 at node a and 0 at the others.
func lagrange(nodes [4]float64, a int, y float64) float64 {
	v := 1.0
	for b := range nodes {
		if b != a {
			v *= (y - nodes[b]) / (nodes[a] - nodes[b])
		}
	}
	return v
}

// run writes ∫₀^z μe^(−μ(z−y)) g(y) dy at every point of one minute.
func (k kernel) run(g, out []float64) {
	out[0] = 0
	last := len(g) - 1
	for z := 1; z <= last; z++ {
		at := min(max(z-2, 0), last-3)
		w := &k.w[z-1-at]
		out[z] = float64(k.fade[1]*out[z-1]) + float64(w[0]*g[at]) + float64(w[1]*g[at+1]) + float64(w[2]*g[at+2]) + float64(w[3]*g[at+3])
	}
}

// between is a value with the minute just started and so much time left, above 0, by
// the cubic through four points.
func (p *patient) between(left float64, value func(m, z int) float64) float64 {
	minute := float64(Hitless)
	m := min(max(int(math.Ceil(left/minute))-1, 0), p.minutes-1)
	y := (left - float64(m)*minute) / minute * float64(p.steps)
	at := min(max(int(y)-1, 0), p.steps-3)
	v := 0.0
	for a := range 4 {
		v += float64(lagrange([4]float64{0, 1, 2, 3}, a, y-float64(at)) * value(m, at+a))
	}
	return v
}

// fresh is what a score is worth with the minute just started.
func (p *patient) fresh(s Score, shown int, left float64) float64 {
	switch n := p.c.format.To; {
	case s.Me >= n || s.Opponent >= n:
		return p.pay.hits(s.Me, s.Opponent)
	case shown >= blackCard:
		return p.pay.black(s.Me, s.Opponent)
	case p.lastHit(s.Me, s.Opponent):
		return p.pay.last(left)
	case left <= 0:
		return p.pay.time(s.Me, s.Opponent)
	}
	return p.between(left, func(m, z int) float64 { return p.point(s.Me, s.Opponent, shown, m, z) })
}

// value is what a score is worth when part of the minute has gone.
func (p *patient) value(s Score, shown int, since, left float64) float64 {
	if since == 0 || left <= 0 || p.lastHit(s.Me, s.Opponent) || p.c.over(s) {
		return p.fresh(s, shown, left)
	}
	wait := float64(Hitless) - since
	period := left - float64(Period)*(math.Ceil(left/float64(Period))-1)
	i, j, cards := s.Me, s.Opponent, shown
	card := wait < period
	if card {
		i, j, cards = carded(i, j, shown)
	} else {
		wait = period
	}
	v := math.Exp(-p.mu*wait) * p.fresh(Score{i, j}, cards, left-wait)
	// The integral, piece by piece between multiples of a minute.
	for gone := 0.0; gone < wait; {
		now := left - gone
		part := min(wait-gone, now-float64(Hitless)*(math.Ceil(now/float64(Hitless))-1))
		pieces := max(1, int(math.Ceil(part*float64(p.steps)/float64(Hitless))))
		for k := range pieces {
			a, b := gone+part*float64(k)/float64(pieces), gone+part*float64(k+1)/float64(pieces)
			for g, x := range gaussNodes {
				at := a + (b-a)*(1+x)/2
				hit := p.between(left-at, func(m, z int) float64 { return p.hit(s.Me, s.Opponent, shown, m, z) })
				v += float64(gaussWeights[g]/2*(b-a)*p.mu*math.Exp(-p.mu*at)) * hit
			}
		}
		gone += part
	}
	return v
}
