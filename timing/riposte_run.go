package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// The uncertain inputs of a riposte, in the order of their draws.
const (
	pGap = iota
	pArm
	pArmTime
	pBody
	pBodyTime
	pDelay
	pHold
	pDisengage
	pRemiseGap
	pRemiseReach
	pRemise
	pEscape
	pBack
	pBackTime
	pBackDelay
	pBackOnset
	pWindow
	pContact
	pRemiseContact
	pHolds    // uniform: below Holds it holds
	pRecovers // uniform: below Recovers the attacker goes back
	pInputs   // how many
)

// The ways to riposte, as indices.
const (
	wayDirect = iota
	wayAlong
	wayIndirect
	ways // how many
)

// ripostes holds what is fixed over the draws.
type ripostes struct {
	in              [pInputs]law
	holds, recovers float64
}

// Race draws the three ways of riposte against the remise, with the same draws for
// each:
//
// the riposte starts after Hold and hits at the first t with travel(t) ≥ Gap; an
// indirect one starts Disengage later. The remise hits at Remise, if RemiseReach ≥
// RemiseGap. Where the riposte goes along the blade and the parry holds, the remise
// waits until the blade is free: Escape + Remise. An attacker who recovers does not
// remise, and takes the target away. Lamps as in Race.Run: the later hit still lights
// if it registers within the window after the first.
//
// A direct riposte leaves the blade, so that the remise is as free as it is. The model
// knows no second parry and no ducking, and the way along the blade is taken to be as
// long as the direct one.
//
// draws must lie between 1 and MaxDraws; src may be nil only where nothing is
// uncertain. It returns *InputError for a number that cannot be used.
//
// Sources: the times of the remise and the order that must hold (a remise beats a
// slow riposte) are common practice; that an opponent held in opposition does not
// arrive likewise.
func (q AfterParry) Race(app Apparatus, draws int, src rand.Source) (Riposte, error) {
	if draws < 1 || draws > MaxDraws {
		return Riposte{}, &InputError{"number of draws", float64(draws), "between 1 and 10 million"}
	}
	b, err := q.ripostes(app)
	if err != nil {
		return Riposte{}, err
	}
	certain := b.certain()
	if certain {
		draws = 1
	}
	seed, err := seedOf(src, certain)
	if err != nil {
		return Riposte{}, err
	}
	return sumRipostes(inBlocks(draws, seed, b.draw), draws, certain), nil
}

// ripostes checks the state.
func (q AfterParry) ripostes(app Apparatus) (*ripostes, error) {
	b := &ripostes{holds: float64(q.Holds), recovers: float64(q.Recovers)}
	mine, err := inputsOf("riposte", Runner{Gap: q.Gap, Movement: q.Movement})
	if err != nil {
		return nil, err
	}
	switch m := q.Movement; {
	case m.Arm.Mean < 0 || m.Body.Mean < 0:
		return nil, &InputError{"travel of the riposte", float64(m.Arm.Mean + m.Body.Mean), "towards the attacker: not negative"}
	case m.Arm.Mean == 0 && m.Body.Mean == 0:
		return nil, &InputError{"travel of the riposte", 0, "more than nothing: choose a movement such as " + Extension}
	}
	if err := app.check(); err != nil {
		return nil, err
	}
	var in [pInputs]input
	copy(in[pGap:pHold], mine[inGap:inOnset])
	for _, c := range []struct {
		field string
		v     quantity.Chance
	}{{"chance that the parry holds the blade", q.Holds}, {"chance that the attacker recovers", q.Recovers}} {
		if !(c.v >= 0 && c.v <= 1) {
			return nil, &InputError{c.field, float64(c.v), "between 0 and 1"}
		}
	}
	if q.Recovers > 0 {
		if q.Recovery.Body.Mean > 0 || q.Recovery.Arm.Mean != 0 {
			return nil, &InputError{"recovery", float64(q.Recovery.Body.Mean + q.Recovery.Arm.Mean), "a body that goes back: negative, without arm"}
		}
		back, err := inputsOf("recovery", Runner{Movement: q.Recovery})
		if err != nil {
			return nil, err
		}
		in[pBack], in[pBackTime], in[pBackDelay] = back[inBodyTravel], back[inBodyTime], back[inBodyDelay]
	}
	for _, k := range []struct {
		field string
		q     quantity.Of[quantity.Seconds]
		to    *input
	}{{"hold after the parry", q.Hold, &in[pHold]}, {"time of the disengage", q.Disengage, &in[pDisengage]},
		{"time of the remise", q.Remise, &in[pRemise]}, {"time to escape from the parry", q.Escape, &in[pEscape]},
		{"onset of the recovery", q.RecoveryOnset, &in[pBackOnset]},
	} {
		if *k.to, err = timeInput(k.field, k.q); err != nil {
			return nil, err
		}
		if k.q.Mean < 0 {
			return nil, &InputError{k.field, float64(k.q.Mean), "zero or positive, in seconds"}
		}
		k.to.lo = 0
	}
	for _, k := range []struct {
		field string
		q     quantity.Of[quantity.Metres]
		to    *input
	}{{"gap of the remise", q.RemiseGap, &in[pRemiseGap]}, {"reach of the remise", q.RemiseReach, &in[pRemiseReach]}} {
		if *k.to, err = lengthInput(k.field, k.q, 0, math.Inf(1)); err != nil {
			return nil, err
		}
	}
	in[pWindow] = bandInput(app.Window-app.Tolerance, app.Window+app.Tolerance)
	in[pContact] = bandInput(app.ContactMin, app.ContactMax)
	in[pRemiseContact] = in[pContact]
	for i, share := range map[int]float64{pHolds: b.holds, pRecovers: b.recovers} {
		in[i] = input{mean: 0.5, uniform: true}
		in[i].hi = 1
		if share > 0 && share < 1 {
			in[i].sd = 1 / math.Sqrt(12)
		}
	}
	for i := range in {
		b.in[i] = lawOf(in[i])
	}
	return b, nil
}

func (b *ripostes) certain() bool {
	for i := range b.in {
		if b.in[i].sd != 0 {
			return false
		}
	}
	return true
}

// below says whether a uniform draw lies below a share; a share of 0 never and of 1
// always.
func below(u, share float64) bool { return share >= 1 || share > 0 && u < share }

// riposteDraws has what the draws of one block gave.
type riposteDraws struct{ way [ways]wayDraws }

type wayDraws struct {
	hit, remise, delay         []quantity.Seconds
	only, remiseOnly, both, no int
}

// draw makes n draws. Every input takes one random number, uncertain or not.
func (b *ripostes) draw(n int, rng *stream) *riposteDraws {
	w := &riposteDraws{}
	for i := range w.way {
		e := &w.way[i]
		e.hit, e.remise, e.delay = make([]quantity.Seconds, 0, n), make([]quantity.Seconds, 0, n), make([]quantity.Seconds, 0, n)
	}
	var x [pInputs]float64
	for range n {
		for i := range x {
			in := &b.in[i]
			if in.uniform {
				x[i] = in.mean + float64(in.sd*math.Sqrt(12)*(rng.unit()-0.5))
				continue
			}
			x[i] = in.at(rng.normal())
		}
		recovers, holds := below(x[pRecovers], b.recovers), below(x[pHolds], b.holds)
		travel, reaches := b.travel(&x, 0, false)
		for i := range w.way {
			start := x[pHold]
			if i == wayIndirect {
				start += x[pDisengage]
			}
			hit, remise := start+travel, x[pRemise]
			if !reaches {
				hit = math.Inf(1)
			}
			if i == wayAlong && holds {
				remise += x[pEscape]
			}
			if recovers || x[pRemiseReach] < x[pRemiseGap] {
				remise = math.Inf(1)
			}
			// The longest hold: the riposte registers a window before the remise.
			delay := remise + x[pRemiseContact] - x[pWindow] - x[pContact] - (hit - x[pHold])
			if recovers && reaches {
				more := start - x[pHold]
				if t, ok := b.travel(&x, start, true); ok {
					hit = start + t
				} else {
					hit = math.Inf(1)
				}
				delay = b.lastStart(&x) - more
			}
			w.way[i].add(hit, remise, delay, x[pContact], x[pRemiseContact], x[pWindow])
		}
	}
	return w
}

// travel is the time from the start of the riposte to its hit, where it starts at this
// instant: against a target that stays, or one that goes back.
func (b *ripostes) travel(x *[pInputs]float64, start float64, back bool) (float64, bool) {
	var c course
	c.add(x[pArm], 0, x[pArmTime])
	c.add(x[pBody], x[pDelay], x[pBodyTime])
	gap := x[pGap]
	if back {
		onset := x[pBackOnset] + x[pBackDelay] - start
		if onset < 0 { // what it has gone before the riposte starts
			done := float64(x[pBack] * MinimumJerk(-onset/x[pBackTime]))
			gap -= done
			c.add(x[pBack], onset, x[pBackTime])
			return c.first(gap, math.NaN())
		}
		c.add(x[pBack], onset, x[pBackTime])
	}
	return c.first(gap, math.NaN())
}

// lastStart is the latest start at which the riposte still reaches a target that goes
// back, up to RiposteWithin and to a millisecond; negative where not even one at 0
// does. A later start never reaches where an earlier one does not.
func (b *ripostes) lastStart(x *[pInputs]float64) float64 {
	lo, hi := 0.0, float64(RiposteWithin)
	if _, ok := b.travel(x, lo, true); !ok {
		return -hi
	}
	if _, ok := b.travel(x, hi, true); ok {
		return hi
	}
	for hi-lo > 1e-3 {
		if _, ok := b.travel(x, (lo+hi)/2, true); ok {
			lo = (lo + hi) / 2
		} else {
			hi = (lo + hi) / 2
		}
	}
	return lo
}

// add takes one draw of a way; hits that do not come are +Inf.
func (e *wayDraws) add(hit, remise, delay, contact, remiseContact, window float64) {
	mine, theirs := !math.IsInf(hit, 1), !math.IsInf(remise, 1)
	if mine {
		e.hit = append(e.hit, quantity.Seconds(hit))
	}
	if theirs {
		e.remise = append(e.remise, quantity.Seconds(remise))
	}
	lead := remise + remiseContact - hit - contact
	switch {
	case !mine && !theirs:
		e.no++
	case !theirs || mine && lead > window:
		e.only++
	case !mine || -lead > window:
		e.remiseOnly++
	default:
		e.both++
	}
	most := float64(RiposteWithin)
	if !mine {
		delay = -most
	}
	e.delay = append(e.delay, quantity.Seconds(max(-most, min(most, delay))))
}

// sumRipostes sums the blocks up, in order.
func sumRipostes(parts []*riposteDraws, n int, certain bool) Riposte {
	share := func(k int) quantity.Of[quantity.Chance] {
		if certain {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, n)
	}
	var out [ways]RiposteWay
	for i := range out {
		all := &parts[0].way[i]
		for _, p := range parts[1:] {
			e := &p.way[i]
			all.hit, all.remise, all.delay = append(all.hit, e.hit...), append(all.remise, e.remise...), append(all.delay, e.delay...)
			all.only, all.remiseOnly, all.both, all.no = all.only+e.only, all.remiseOnly+e.remiseOnly, all.both+e.both, all.no+e.no
		}
		w := RiposteWay{
			Hit: summary(all.hit), Remise: summary(all.remise),
			Arrives: share(len(all.hit)), RemiseArrives: share(len(all.remise)),
			RiposteOnly: share(all.only), RemiseOnly: share(all.remiseOnly), Both: share(all.both), Neither: share(all.no),
		}
		w.Delay = quantity.FromDraws(all.delay)
		w.Delay.Mean = median(all.delay)
		out[i] = w
	}
	return Riposte{Direct: out[wayDirect], AlongTheBlade: out[wayAlong], Indirect: out[wayIndirect], Draws: n}
}

// median is the middle of the draws, the mean of the two middle ones where their number
// is even; the draws are not changed. (Hoare, "Algorithm 65: Find", Comm. ACM 4:321,
// 1961.)
func median(draws []quantity.Seconds) quantity.Seconds {
	v := append([]quantity.Seconds(nil), draws...)
	k := len(v) / 2
	for lo, hi := 0, len(v)-1; lo < hi; {
		pivot, i, j := v[(lo+hi)/2], lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			lo = hi
		}
	}
	if len(v)%2 == 1 {
		return v[k]
	}
	below := v[0]
	for _, x := range v[:k] {
		below = max(below, x)
	}
	return (below + v[k]) / 2
}
