package scene

import (
	"fmt"
	"image"
	"math"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Named is one named moment of a touch and when it truly happened.
type Named struct {
	ID, Name string
	At       quantity.Seconds
}

// Shot is one take as it is filmed.
type Shot struct {
	ID     string
	Factor float64 // seconds of the file for one second of the bout
	Start  quantity.Seconds
	Frames int
	// Cam names the place of the camera: shots of equal Cam share it.
	Cam string
	// Graphics are the parts of the picture over which a graphic is laid.
	Graphics []image.Rectangle
	// Next is what the same file cuts to after the last frame; nil where it ends.
	Next   *Shot
	tripod tripod
}

// FileFrames is how many frames the file of a shot holds: its own and those after
// the cut.
func (s *Shot) FileFrames() int {
	n := s.Frames
	if s.Next != nil {
		n += s.Next.Frames
	}
	return n
}

// FrameRate of every file of the demo, in frames a second.
const FrameRate = 50

// At returns the true instant that a frame of the shot shows.
func (s *Shot) At(f mark.Frame) quantity.Seconds {
	return s.Start + quantity.Seconds(float64(f)/(FrameRate*s.Factor))
}

// Film is one touch: the two fencers in movement, the lamps, the named moments
// and the shots.
type Film struct {
	Number  int
	Title   string
	Note    string
	Before  bout.Score
	Lamps   bout.Lamps
	LampsAt quantity.Seconds
	Moments []Named
	Shots   []Shot
	// Passers walk through the hall, the farthest first.
	Passers []*Passer

	performers [2]*performer
	hits       []hit
}

// hit is a point that stays on the opponent from at to until and comes free
// over the time away.
type hit struct {
	by              mark.Side
	at, until, away float64
	target          mark.Target
	offset          Vec // from the target's place to where the point stands
	bow             Vec // the way in which the blade bends
}

// At returns both figures at an instant, left first.
func (f *Film) At(t quantity.Seconds) [2]Figure {
	var figs [2]Figure
	for i, p := range f.performers {
		figs[i] = p.at(float64(t))
	}
	for _, h := range f.hits {
		h.hold(&figs, float64(t))
	}
	return figs
}

// hold keeps the point of a hit on its target and bends the blade.
func (h *hit) hold(figs *[2]Figure, t float64) {
	if t < h.at || t > h.until+h.away {
		return
	}
	me, other := &figs[h.by], &figs[h.by.Other()]
	grip := 1 - jerk((t-h.until)/h.away)
	goal := other.TargetPlace(h.target).Add(h.offset)
	tip := me.Tip.Mix(goal, grip)
	me.Tip = within(me.Guard, tip, BladeLength)
	chord := me.Tip.Sub(me.Guard)
	c := chord.Len() / BladeLength
	// A shallow arc of length L over a chord c·L rises by L·√(3/8·(1 − c)).
	rise := BladeLength * math.Sqrt(0.375*math.Max(0, 1-c))
	me.Bow = h.bow.across(chord.Unit()).Mul(rise)
}

// Camera returns the camera of a shot at an instant.
func (f *Film) Camera(s *Shot, t quantity.Seconds) Camera {
	return s.tripod.camera(float64(t), func(at float64) float64 {
		l, r := f.performers[0], f.performers[1]
		return (l.pelvisX.at(at)*l.dir + r.pelvisX.at(at)*r.dir) / 2
	})
}

// Shot returns the shot of this name.
func (f *Film) Shot(id string) (*Shot, bool) {
	for i := range f.Shots {
		if f.Shots[i].ID == id {
			return &f.Shots[i], true
		}
	}
	return nil, false
}

// strike makes the point of one fencer arrive on the opponent at this instant:
// the fist stands o outside and u above the shoulder, and as far forward as the
// blade asks for. The arm and the blade correct themselves from start on.
func (f *Film) strike(by mark.Side, target mark.Target, start, at, o, u float64, nudge Vec) {
	me, other := f.performers[by], f.performers[by.Other()]
	mine, theirs := me.at(at), other.at(at)
	solids := theirs.Solids()
	place := theirs.TargetPlace(target).Add(nudge)
	arm := (me.build.UpperArm + me.build.Forearm)
	weapon := GripToGuard + BladeLength
	fwd := 0.9 * arm
	var goal, hand Vec
	met := -1
	for range 60 {
		hand = mine.Shoulder.Add(me.local(fwd, o, u))
		var ok bool
		goal, met, ok = Meet(solids, hand, place.Sub(hand).Unit())
		if !ok {
			panic("scene: the line of the hit misses the opponent")
		}
		fwd += 0.8 * (goal.Sub(hand).Len() - weapon)
	}
	if stretch := math.Sqrt(fwd*fwd+o*o+u*u) / arm; stretch > fullStretch || stretch < 0.80 {
		panic(fmt.Sprintf("scene: touch %d: the arm would be at %.3f of its length at the hit", f.Number, stretch))
	}
	if off := goal.Sub(hand).Len() - weapon; math.Abs(off) > 1e-6 {
		panic(fmt.Sprintf("scene: touch %d: the point stops %.3f m off the %s", f.Number, off, target))
	}
	if !belongs(target, &solids[met]) {
		panic(fmt.Sprintf("scene: touch %d: on its way to the %s the point meets part %d of limb %d", f.Number, target, solids[met].Part, solids[met].Limb))
	}
	end := at + 0.10
	me.handF.pass(start, end, at, fwd)
	me.handO.pass(start, end, at, o)
	me.handU.pass(start, end, at, u)
	raised, outward := me.angles(goal.Sub(hand))
	me.bladeUp.pass(start, end, at, raised+me.swing(at))
	me.bladeOut.pass(start, end, at, outward)
	// The arm gives way while the body still comes on.
	me.handF.add(at, at+0.22, -0.10)
	f.hits = append(f.hits, hit{
		by: by, at: at, until: at + 0.24, away: 0.16, target: target,
		offset: goal.Sub(theirs.TargetPlace(target)),
		bow:    up().Add(me.outside().Mul(0.25)),
	})
}

// belongs reports whether a solid is a part of the target.
func belongs(t mark.Target, s *Solid) bool {
	switch t {
	case mark.Chest:
		return s.Limb == LimbTrunk && s.Part == Jacket
	case mark.UpperArm:
		return s.Limb == limbWeaponUpper
	case mark.Forearm:
		return s.Limb == limbWeaponFore && s.Part == Jacket
	case mark.Hand:
		return s.Part == Glove
	case mark.TargetMask:
		return s.Part == MaskMesh || s.Part == Bib
	}
	return false
}

// meet makes the blade of one fencer touch the opponent's blade at this
// instant: at own metres before the own guard, at theirs metres before the
// opponent's, with the own blade at these angles (degrees).
func (f *Film) meet(by mark.Side, start, end, at, own, theirs, raised, outward float64) {
	me, other := f.performers[by], f.performers[by.Other()]
	mine, o := me.at(at), other.at(at)
	touch := o.Guard.Add(o.Blade.Mul(theirs))
	d := me.aim(rad(raised), rad(outward))
	hand := touch.Sub(d.Mul(GripToGuard + own)).Sub(mine.Shoulder)
	if s := hand.Len() / (me.build.UpperArm + me.build.Forearm); s > 0.97 {
		panic(fmt.Sprintf("scene: touch %d: the arm would be at %.3f of its length at the parry", f.Number, s))
	}
	me.handF.pass(start, end, at, hand.X*me.dir)
	me.handO.pass(start, end, at, hand.Y*me.out)
	me.handU.pass(start, end, at, hand.Z)
	me.bladeUp.pass(start, end, at, rad(raised)+me.swing(at))
	me.bladeOut.pass(start, end, at, rad(outward))
}
