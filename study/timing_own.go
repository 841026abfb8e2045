package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// movement is an action of one fencer, with what is known of the fencer in place of the
// defaults.
func (r *Reading) movement(s mark.Side, action string, arm *quantity.Of[quantity.Metres]) (timing.Movement, error) {
	return r.Profiles[s].movement(action, r.Touch.Bout.Fencer(s), arm)
}

// defence is what one fencer brings against an attack. Where the touch says to what the
// fencer reacts and among how many answers, the answers wait for that.
func (r *Reading) defence(s mark.Side, gap quantity.Of[quantity.Metres], arm *quantity.Of[quantity.Metres]) timing.Defence {
	d := r.Profiles[s].defence(gap)
	if m, err := r.movement(s, timing.Extension, arm); err == nil {
		d.Extension = m
	}
	if ask := r.Touch.Race.Of(s).Onset; ask.Kind == OnsetReaction && ask.Choices > 0 {
		d.Reaction = r.Profiles[s].reaction(cueVisual, ask.Choices)
	}
	return d
}
