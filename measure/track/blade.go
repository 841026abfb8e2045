package track

import (
	"context"
	"fmt"

	"mesure/sport/mark"
)

// GuardAt says where the guard is on a frame, from a mark or followed; false where
// that is not known.
type GuardAt func(f mark.Frame) (BridgeStep, bool)

// BladeOptions of Blade and BladeOnward. The zero value takes the defaults.
type BladeOptions struct {
	// Ground, Hidden and Slow are those of BridgeOptions.
	Ground Ground
	Hidden func(f mark.Frame) bool
	Slow   float64
}

// Blade proposes the tip of a blade between two marks on it: the guard is known on
// every frame between, both marks included.
func Blade(ctx context.Context, film Film, guard GuardAt, a, b Anchor, o BladeOptions) ([]BridgeStep, error) {
	if b.Frame <= a.Frame {
		return nil, fmt.Errorf("track: a bridge goes from an earlier mark to a later one, not from frame %d to %d", a.Frame, b.Frame)
	}
	return Bridge(ctx, film, a, b, BridgeOptions{Ground: o.Ground, Hidden: o.Hidden, Slow: o.Slow})
}

// BladeOnward is Blade away from one mark, as Onward is to Bridge.
func BladeOnward(ctx context.Context, film Film, guard GuardAt, a Anchor, until mark.Frame, o BladeOptions) ([]BridgeStep, error) {
	return Onward(ctx, film, a, until, BridgeOptions{Ground: o.Ground, Hidden: o.Hidden, Slow: o.Slow})
}
