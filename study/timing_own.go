package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// movement is an action of one fencer, with what is known of the fencer in place of the
// defaults.
func (r *Reading) movement(s mark.Side, action string, arm *quantity.Of[quantity.Metres]) (timing.Movement, error) {
	return movement(action, r.Touch.Bout.Fencer(s), arm)
}

// defence is what one fencer brings against an attack.
func (r *Reading) defence(s mark.Side, gap quantity.Of[quantity.Metres], arm *quantity.Of[quantity.Metres]) timing.Defence {
	d := timing.NewDefence(gap)
	if m, err := r.movement(s, timing.Extension, arm); err == nil {
		d.Extension = m
	}
	return d
}
