package scene

// Shapes of the steps, as shares of their duration. The front foot leads an
// advance, the rear foot a retreat (common practice, no source).
const (
	leadEnds    = 0.62
	trailStarts = 0.30
	stepHeight  = 0.035 // metres that a stepping foot clears
	bodyDip     = 0.012 // metres that the hips sink in mid-step
)

func (p *performer) stepFront(start, end, by, height float64) {
	p.frontX.add(start, end, by)
	p.frontUp = append(p.frontUp, flight{start, end, height})
}

func (p *performer) stepRear(start, end, by, height float64) {
	p.rearX.add(start, end, by)
	p.rearUp = append(p.rearUp, flight{start, end, height})
}

// advance is a step forward by this many metres.
func (p *performer) advance(start, took, by float64) {
	p.stepFront(start, start+leadEnds*took, by, stepHeight)
	p.frontPitch.bump(start, start+leadEnds*took, rad(11))
	p.stepRear(start+trailStarts*took, start+took, by, stepHeight)
	p.pelvisX.add(start-0.02, start+took, by)
	p.pelvisZ.bump(start, start+took, -bodyDip)
}

// retreat is a step back by this many metres.
func (p *performer) retreat(start, took, by float64) {
	p.stepRear(start, start+leadEnds*took, -by, stepHeight)
	p.stepFront(start+trailStarts*took, start+took, -by, stepHeight)
	p.pelvisX.add(start-0.02, start+took, -by)
	p.pelvisZ.bump(start, start+took, -bodyDip)
}

// lunge throws the front foot forward by this many metres: it lifts at start
// and lands after took. The hips follow until the rear leg is straight.
func (p *performer) lunge(start, took, by float64) {
	s := p.build.Stature
	p.stepFront(start, start+took, by, 0.055)
	p.frontPitch.add(start-0.03, start+0.45*took, rad(30))
	p.frontPitch.add(start+0.55*took, start+took+0.07, rad(-30))
	end := start + took + 0.13
	p.pelvisX.to(start-0.16, end, p.frontX.last()-0.322*s)
	p.pelvisZ.to(start-0.02, end, 0.272*s)
	p.lean.to(start-0.10, end, rad(17))
	p.roll.to(start-0.06, end, -rad(1))
	p.hipYaw.to(start-0.06, end, rad(46))
	p.shoulderYaw.to(start-0.10, end-0.05, rad(9))
	p.restF.to(start-0.02, start+took, -0.255*s)
	p.restO.to(start-0.02, start+took, -0.04)
	p.restU.to(start-0.02, start+took, -0.140*s)
}

// recover brings the body back on guard over the rear foot, which stays.
func (p *performer) recover(start, took, spread float64) {
	s := p.build.Stature
	back := p.frontX.last() - (p.rearX.last() + spread)
	p.stepFront(start+0.10*took, start+took, -back, 0.04)
	p.pelvisX.to(start, start+took, p.rearX.last()+0.48*spread)
	p.pelvisZ.to(start, start+took, 0.443*s)
	p.lean.to(start, start+took, rad(4))
	p.roll.to(start, start+took, p.roll.base)
	p.hipYaw.to(start, start+took, rad(38))
	p.shoulderYaw.to(start, start+took, rad(31))
	p.restF.to(start+0.05, start+took, p.restF.base)
	p.restO.to(start+0.05, start+took, p.restO.base)
	p.restU.to(start+0.05, start+took, p.restU.base)
}

// hand moves the fist to this place from the weapon shoulder: forward, outside
// and up, in metres.
func (p *performer) hand(start, end, f, o, u float64) {
	p.handF.to(start, end, f)
	p.handO.to(start, end, o)
	p.handU.to(start, end, u)
}

// blade turns the blade to these angles in degrees: raised, turned outside.
func (p *performer) blade(start, end, raised, outward float64) {
	p.bladeUp.to(start, end, rad(raised))
	p.bladeOut.to(start, end, rad(outward))
}

// circle swings the point round under the opponent's hand while it goes to a new
// line: the point dips by dip degrees in the first part and comes up again.
func (p *performer) circle(start, end, dip, raised, outward float64) {
	mid := start + 0.5*(end-start)
	p.bladeUp.add(start, mid, -rad(dip))
	p.bladeUp.to(start+0.38*(end-start), end, rad(raised))
	p.bladeOut.to(start+0.12*(end-start), start+0.85*(end-start), rad(outward))
}

// guardOn returns the weapon arm to the guard of sixte.
func (p *performer) guardOn(start, end float64) {
	s := p.build.Stature
	p.hand(start, end, 0.232*s, guardOut, -0.085*s)
	p.blade(start, end, 8, -1)
}

// guardOut is how far outside the shoulder the fist stands in the guard of
// sixte, in metres.
const guardOut = 0.080
