package study

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// measure notes which target is the nearest, and whose reach is the longer.
func (n *noting) measure() {
	in, ok := n.r.InstantAt(n.x.At.Take, n.x.At.Frame)
	if !ok {
		return
	}
	if _, l, ok := n.launchAt(); !ok || n.x.Instant.Mean < l.At.Mean+aroundAttack {
		// On guard: in an attack that is on its way everything is elsewhere.
		for _, s := range mark.Sides {
			n.exposed(s, &in)
		}
	}
	var reach [2]quantity.Of[quantity.Metres]
	for _, s := range mark.Sides {
		var ok bool
		if reach[s], ok = n.reachTo(s, timing.Lunge, nil); !ok {
			return
		}
	}
	longer := mark.Left
	if reach[mark.Right].Mean > reach[mark.Left].Mean {
		longer = mark.Right
	}
	d := less(reach[longer], reach[longer.Other()])
	if p := 1 - below(d, 0); p >= noteSure && d.Mean > 0.02 {
		n.add(NoteReachBand, longer, n.x.At, p, min(0.6, float64(d.Mean)/0.4),
			fmt.Sprintf("%s's lunge reaches %s further than %s's: in that band only %s can hit with the same footwork", called(longer), plusMinus(d, inCM), called(longer.Other()), called(longer)),
			"the longer fencer keeps the distance, the shorter one closes it (common practice, no source); reaches as the profiles have them")
	}
}

// exposed notes a fencer's hand that is the nearest target and within the opponent's
// extension, or a nearest target that is not the hand.
func (n *noting) exposed(s mark.Side, in *Instant) {
	opp := s.Other()
	gap, ok := nearestOf(in, opp)
	if !ok {
		return
	}
	const reference = "on guard the hand is the nearest target, then the forearm (common practice, no source)"
	if gap.Target == mark.Hand {
		reach, ok := n.reachTo(opp, timing.Extension, in)
		if !ok {
			return
		}
		if p := below(less(gap.Gap, reach), 0); p >= noteSure {
			n.add(NoteHand, s, n.x.At, p, 0.4,
				fmt.Sprintf("%s's hand is the nearest target, %s from %s's point and within the %s that the arm goes", called(s), plusMinus(gap.Gap, inCM), called(opp), plusMinus(reach, inCM)), reference)
		}
		return
	}
	for _, g := range in.Gaps {
		if g.Of != opp || g.Target != mark.Hand {
			continue
		}
		more := less(g.Gap, gap.Gap)
		if p := 1 - below(more, 0); p >= noteSure {
			n.add(NoteHand, s, n.x.At, p, min(0.5, float64(more.Mean)/0.3),
				fmt.Sprintf("%s's nearest target is the %s, %s from %s's point; the hand is %s further", called(s), gap.Target.Word(), plusMinus(gap.Gap, inCM), called(opp), plusMinus(more, inCM)), reference)
		}
	}
}

// Limits of what is noted of a movement.
const (
	// sharpSpeed is the share of a peak speed that its ± may be for it to be noted.
	sharpSpeed = 0.2
	// aroundAttack is how far before the launch and after the hit a peak still belongs
	// to the attack, in seconds.
	aroundAttack = 0.1
)

// movement notes how fast and how far the attack went, and what a feint cost.
func (n *noting) movement() {
	_, l, ok := n.launchAt()
	if !ok {
		return
	}
	p, ok := n.r.phraseAt(n.x.At, l.Who)
	if !ok {
		return
	}
	until := l.At.Mean + phraseSpan/2
	if p.end != nil {
		until = p.now + p.end.Mean
	}
	n.peak(l, until, mark.Guard, NoteSpeed, "hand",
		"3 to 5 m/s at the greatest in a lunge, about 3.4 m/s for 0.45 m of arm in 250 ms (derived from the minimum-jerk curve; no measured norm)")
	n.peak(l, until, mark.Hip, NoteBodySpeed, "hip",
		"centre of mass 1.94 and 2.21 m/s in the lunge, 2.64 and 2.89 m/s in the flèche (Rutkowska-Kucharska 2016, 2 épéeists)")
	n.lunge(l, &p)
	n.feint(l, &p)
}

// peak notes the greatest speed of a followed point in the attack, what the smoothing
// adds taken off.
func (n *noting) peak(l *Launch, until quantity.Seconds, w mark.What, kind, word, reference string) {
	k := n.r.trackOf(l.Take, l.Who, w)
	if k == nil || k.Peak == nil || k.PeakAt < l.At.Mean-aroundAttack || k.PeakAt > until+aroundAttack {
		return
	}
	v := *k.Peak
	if k.PeakBias != nil {
		v = less(v, *k.PeakBias)
	}
	if !(float64(v.SD) < sharpSpeed*float64(v.Mean)) {
		return
	}
	at := At{l.Take, n.r.frameNear(l.Take, k.PeakAt, l.By)}
	n.add(kind, l.Who, at, 1-float64(v.SD)/float64(v.Mean), 0.35,
		fmt.Sprintf("%s's %s came to %s at the most", called(l.Who), word, plusMinus(v, inSpeed)), reference)
}

// lunge notes how far the front foot went from where it lifted to where it landed.
func (n *noting) lunge(l *Launch, p *phrase) {
	if p.foot < 0 {
		return
	}
	lift := p.all[p.foot]
	for _, e := range p.all {
		if e.who != l.Who || e.part != PartFrontFoot || e.kind != OnsetLands || e.take != lift.take || e.since.Mean <= lift.since.Mean || e.since.Mean > lift.since.Mean+1 {
			continue
		}
		from, to := n.r.stanceAt(At{lift.take, lift.by}), n.r.stanceAt(At{e.take, e.by})
		for _, w := range footPoints(PartFrontFoot) {
			a, ok1 := from.point(l.Who, w)
			b, ok2 := to.point(l.Who, w)
			if !ok1 || !ok2 {
				continue
			}
			went := scaled(less(b.x, a.x), towards(l.Who))
			if went.Mean < 0.3 || float64(went.SD) > 0.2*float64(went.Mean) {
				return // a step, or not known well enough
			}
			text := fmt.Sprintf("%s's front foot went %s in the lunge", called(l.Who), plusMinus(went, inM))
			reference := "front foot of elite foilists 1.17 ± 0.17 m, of novices 1.02 ± 0.10 m (stereophotogrammetry, 8 foilists; a longer lunge is not a better one)"
			size := 0.3
			if own := quantity.Metres(n.t.Bout.Fencer(l.Who).Lunge); own > 0 {
				share := scaled(went, 1/float64(own))
				text += fmt.Sprintf(", %s of the lunge stated for the fencer", plusMinus(share, inPct))
				if q := 1 - below(share, quantity.Metres(UsableShare)); q >= noteSure {
					text += ": near its full length the point is less sure"
					size = 0.6 * q
				}
				reference = "most fencers can lunge further than they can hit; nine tenths of the full lunge is usable (trade literature, the number is common practice)"
			}
			n.add(NoteLunge, l.Who, At{e.take, e.by}, 1-float64(went.SD)/float64(went.Mean), size, text, reference)
			return
		}
		return
	}
}

// feint notes how long an attack with a feint took, in the fencer's own tempi.
func (n *noting) feint(l *Launch, p *phrase) {
	if p.end == nil {
		return
	}
	if i := p.feint(); i >= 0 && p.all[i].since.Mean < p.end.Mean {
		e := p.all[i]
		took, tempo := less(*p.end, e.since), n.x.Started.Tempo[l.Who]
		count := float64(took.Mean) / float64(tempo.Mean)
		sd := count * math.Hypot(float64(took.SD)/float64(took.Mean), float64(tempo.SD)/float64(tempo.Mean))
		n.add(NoteCompound, l.Who, At{e.take, e.by}, 1, 0.35,
			fmt.Sprintf("From %s's feint to the %s it took %s, %s of the fencer's own tempi", called(l.Who), p.ended, plusMinus(took, inMS), plusMinus(quantity.Normal(quantity.Ratio(count), quantity.Ratio(sd)), inPlain)),
			fmt.Sprintf("the straight line is the fastest, each feint costs a tempo and a disengage about %s (common practice, no source): it must buy that by the answer it draws", plusMinus(n.r.Profiles[l.Who].disengage(), inMS)))
	}
}
