package bout

// needs checks what an action of its kind needs before it.
func (g *grammar) needs(i int) {
	s := g.all[i]
	if !s.known {
		return
	}
	switch s.kind() {
	case KindAttack:
		g.attack(i)
	case KindLine:
		g.line(i)
	case KindCounter:
		g.counter(i)
	case KindParry:
		g.parry(i)
	case KindRiposte, KindCounterRiposte:
		g.riposte(i)
	case KindRenewal:
		g.renewal(i)
	case KindCounterTime:
		g.counterTime(i)
	case KindEscape:
		if g.lacks(-1, i, s.Who.Other(), searching) && !g.together(i, searching) {
			g.warn(i, "escape-from-nothing", g.by("", "t.84.2", "t.102.2"), "no beat, engagement or taking of the opponent seeks this blade; write the search")
		}
	case KindEnd:
		if g.lacks(-1, i, s.Who, threat) {
			g.warn(i, "end-without-threat", "", "the same fencer has not threatened before; write the action that arrived or missed")
		}
	}
}

// together reports whether the opponent begins an action that passes on the same
// frame, though later in the order.
func (g *grammar) together(i int, test func(said) bool) bool {
	for _, s := range g.all[i+1:] {
		if s.timed && g.all[i].timed && s.from <= g.all[i].from && s.Who != g.all[i].Who && test(s) {
			return true
		}
	}
	return false
}

// attack: the initial offensive action (t.9.1).
func (g *grammar) attack(i int) {
	s := g.all[i]
	if s.word.Name == "attack on preparation" {
		ready := either(is(KindPreparation, KindFootwork, KindFeint, KindBladeAttack, KindEngagement, KindTaking), named("half extension", "withdrawal"))
		if g.lacks(-1, i, s.Who.Other(), ready) && !g.together(i, ready) {
			g.warn(i, "no-preparation", g.by("", "t.83.2", ""), "the opponent has not prepared anything before; write the step or the search it goes into")
		}
	}
	rest := either(onGuard, away, offence, unknown)
	if p := g.last(-1, i, s.Who, is(KindParry)); p >= 0 && g.last(p, i, s.Who, rest) < 0 && g.last(p, i, s.Who.Other(), rest) < 0 {
		g.warn(i, "attack-after-parry", "t.9.1", "the same fencer has just parried, so this is a riposte; or write the return to guard between them")
		return
	}
	if j := g.last(-1, i, s.Who.Other(), offence); j >= 0 && !g.over(j, i) && !g.at(j, i) && g.lacks(j, i, s.Who, away) {
		g.warn(i, "attack-into-attack", "t.12", "the opponent's %s is on its way, so this is a counter-attack; or end that one, or write the parry", g.all[j].word.Name)
		return
	}
	if j := g.last(-1, i, s.Who, offence); j >= 0 && !g.at(j, i) && g.lacks(j, i, s.Who, either(onGuard, away)) && g.lacks(j, i, s.Who.Other(), offence) {
		g.warn(i, "attack-again", "t.13", "the same fencer's %s goes before and no return to guard; this is a remise or a redoublement", g.all[j].word.Name)
	}
}

// at reports whether two actions begin on the same frame.
func (g *grammar) at(j, i int) bool {
	a, b := g.all[j], g.all[i]
	return a.timed && b.timed && a.from == b.from
}

// line: a position taken before the opponent attacks (t.84.1, t.102.1).
func (g *grammar) line(i int) {
	s := g.all[i]
	if j := g.last(-1, i, s.Who.Other(), is(KindAttack)); j >= 0 && !g.over(j, i) && !g.at(j, i) {
		g.warn(i, "line-into-attack", g.by("t.12", "t.84.1", "t.102.1"), "the opponent's attack is on its way, so the arm stretched now is a counter-attack; or begin the line earlier")
	}
}

// counter: into the opponent's offensive action (t.12).
func (g *grammar) counter(i int) {
	s := g.all[i]
	j := g.last(-1, i, s.Who.Other(), either(threat, unknown))
	if j < 0 {
		if !g.together(i, threat) {
			g.warn(i, "counter-attack-without-attack", "t.12", "no offensive action of the opponent is written before it; write the attack, or call this one the attack")
		}
		return
	}
	if unknown(g.all[j]) || g.together(i, threat) {
		return
	}
	if k := g.last(j, i, s.Who, is(KindParry)); k >= 0 {
		g.warn(i, "counter-attack-after-parry", "t.9.1", "the same fencer has parried the %s, so this is a riposte", g.all[j].word.Name)
		return
	}
	// Every threat of the opponent may still be on its way, the feet as well.
	for k := j; k >= 0; k = g.last(-1, k, s.Who.Other(), threat) {
		a := g.all[k]
		if !a.timed || !s.timed || a.to >= s.from {
			return
		}
	}
	g.warn(i, "counter-attack-too-late", "t.12", "the opponent's %s has ended before it begins; a counter-attack is made during it", g.all[j].word.Name)
}

// parry: keeps an offensive action away (t.9.2).
func (g *grammar) parry(i int) {
	s := g.all[i]
	if g.lacks(-1, i, s.Who.Other(), threat) && !g.together(i, threat) {
		g.warn(i, "parry-without-threat", "t.9.2", "nothing of the opponent is written that it could parry; write the attack or the feint")
		return
	}
	taken := is(KindTaking, KindEngagement)
	if s.word.Name == "yielding parry" && g.lacks(-1, i, s.Who.Other(), taken) && !g.together(i, taken) {
		g.warn(i, "yields-to-nothing", "", "the opponent has not taken the blade; write the taking")
	}
}

// riposte: of the fencer who has parried the attack; counter-riposte: of the one who
// has parried the riposte (t.9.1).
func (g *grammar) riposte(i int) {
	s := g.all[i]
	counter := s.kind() == KindCounterRiposte
	p := g.last(-1, i, s.Who, either(is(KindParry), unknown))
	if p < 0 {
		what := "attack"
		if counter {
			what = "riposte"
		}
		g.warn(i, string(s.kind())+"-without-parry", "t.9.1", "the same fencer has not parried before; write the parry of the %s, or choose another word", what)
		return
	}
	if unknown(g.all[p]) {
		return
	}
	if off := g.last(p, i, s.Who, offence); off >= 0 && !g.at(off, i) {
		g.warn(i, "parry-used-up", "t.9.1", "the last parry of the same fencer is followed by the %s already; write the parry between them, or call this a remise or redoublement", g.all[off].word.Name)
		return
	}
	q := g.last(-1, p, s.Who.Other(), either(offence, unknown))
	if q < 0 || unknown(g.all[q]) {
		return
	}
	answered := g.all[q].kind() == KindRiposte || g.all[q].kind() == KindCounterRiposte
	switch {
	case counter && !answered:
		g.warn(i, "counter-riposte-of-attack", "t.9.1", "what was parried is the opponent's %s and no riposte, so this is a riposte", g.all[q].word.Name)
	case !counter && answered:
		g.warn(i, "riposte-of-riposte", "t.9.1", "what was parried is the opponent's %s, so this is a counter-riposte", g.all[q].word.Name)
	}
}

// renewal: t.13.1 to t.13.3.
func (g *grammar) renewal(i int) {
	s := g.all[i]
	j := g.last(-1, i, s.Who, either(struck, unknown))
	if j < 0 {
		g.warn(i, s.word.Name+"-without-attack", s.word.Article, "the same fencer has made no offensive action before that it could renew")
		return
	}
	if unknown(g.all[j]) {
		return
	}
	switch s.word.Name {
	case "remise":
		if g.last(j, i, s.Who, named("withdrawal")) >= 0 {
			g.warn(i, "remise-after-withdrawal", "t.13.1", "the arm was drawn back before it, so this is a redoublement")
		}
		if g.last(j, i, s.Who, onGuard) >= 0 {
			g.warn(i, "remise-after-guard", "t.13.3", "the same fencer has returned to guard before it, so this is a reprise")
		}
	case "redoublement":
		if k := g.last(j, i, s.Who.Other(), is(KindRiposte, KindCounterRiposte)); k >= 0 {
			g.warn(i, "redoublement-after-riposte", "t.13.2", "the opponent has made a %s; a redoublement goes against a parry without one, or against mere avoiding", g.all[k].word.Name)
		} else if g.lacks(j, i, s.Who.Other(), either(is(KindParry), away)) && g.all[j].note.Result != Avoided && g.all[j].note.Result != Parried {
			g.warn(i, "redoublement-of-nothing", "t.13.2", "the opponent has neither parried nor got out of the way; write which")
		}
	case "reprise":
		if g.lacks(j, i, s.Who, onGuard) {
			g.warn(i, "reprise-without-guard", "t.13.3", "the same fencer has not returned to guard since the %s; write the recovery, or call it remise or redoublement", g.all[j].word.Name)
		}
	}
}

// counterTime: of the attacker, against the counter-attack (t.13.4).
func (g *grammar) counterTime(i int) {
	s := g.all[i]
	c := g.last(-1, i, s.Who.Other(), either(is(KindCounter), unknown))
	if c < 0 {
		if !g.together(i, is(KindCounter)) {
			g.warn(i, "counter-time-without-counter-attack", "t.13.4", "the opponent has made no counter-attack before; write the stop hit that was drawn")
		}
		return
	}
	drew := either(threat, searching, is(KindPreparation, KindFootwork))
	if !unknown(g.all[c]) && g.lacks(-1, c, s.Who, drew) {
		g.warn(i, "counter-time-without-attack", "t.13.4", "it is an action of the attacker, and nothing of this fencer is written before the counter-attack")
	}
}
