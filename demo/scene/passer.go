package scene

import (
	"math"

	"mesure/quantity"
)

// Passer is somebody who walks along the hall, behind the piste or before it, and
// has nothing to do with the bout. Lengths in metres.
type Passer struct {
	x       float64 // along the piste at the clock's zero
	y       float64
	speed   float64 // metres a second, + to the camera's right
	stature float64
}

// Gait (own estimate, no source): half a stride for this share of the stature,
// legs and arms that swing as sines.
const (
	passerStep = 0.41
	legSwing   = 0.42 // radians
	armSwing   = 0.36
	kneeBend   = 0.55
)

// Before reports whether the walker passes between the camera and the piste.
func (p *Passer) Before() bool { return p.y < 0 }

// At returns where the walker's hips are over the floor.
func (p *Passer) At(t quantity.Seconds) Vec {
	return Vec{p.x + p.speed*float64(t), p.y, 0}
}

// Solids returns the walker at an instant. Limb tells the left side (1) from the
// right (2) and from the middle (0).
func (p *Passer) Solids(t quantity.Seconds) []Solid {
	k := p.stature
	dir := math.Copysign(1, p.speed)
	phase := math.Pi * math.Abs(p.speed) * float64(t) / (passerStep * k)
	// The body is lowest when the legs are furthest apart.
	at := p.At(t).Add(Vec{Z: (0.53 - 0.012*(1-math.Cos(2*phase))) * k})
	to := func(angle, length float64) Vec {
		return Vec{dir * math.Sin(angle) * length, 0, -math.Cos(angle) * length}
	}
	neck := at.Add(Vec{dir * 0.02 * k, 0, 0.29 * k})
	head := neck.Add(Vec{dir * 0.012 * k, 0, 0.10 * k})
	x, y, z := Vec{X: 1}, Vec{Y: 1}, up()
	s := []Solid{
		ellipsoid(Coat, 0, at.Mix(neck, 0.62), x, y, z, 0.070*k, 0.112*k, 0.185*k, 0),
		cone(Coat, 0, at.Mix(neck, 0.45), at.Sub(Vec{Z: 0.10 * k}), 0.072*k, 0.085*k, 0),
		cone(Skin, 0, neck, head, 0.032*k, 0.030*k, 0),
		ellipsoid(Skin, 0, head, x, y, z, 0.052*k, 0.044*k, 0.066*k, 0),
		ellipsoid(Hair, 0, head.Add(Vec{-dir * 0.014 * k, 0, 0.016 * k}), x, y, z, 0.052*k, 0.048*k, 0.060*k, 0),
	}
	for i, side := range [2]float64{-1, 1} {
		limb := i + 1
		swing := side * legSwing * math.Sin(phase)
		// The knee bends while its leg comes forward.
		bend := kneeBend * math.Max(0, side*math.Cos(phase))
		hip := at.Add(Vec{0, side * 0.048 * k, 0})
		knee := hip.Add(to(swing+0.3*bend, 0.245*k))
		ankle := knee.Add(to(swing-0.7*bend, 0.246*k))
		toe := ankle.Add(Vec{dir * 0.10 * k, 0, -0.022 * k})
		s = append(s,
			cone(Trousers, limb, hip, knee, 0.052*k, 0.038*k, 0),
			cone(Trousers, limb, knee, ankle, 0.038*k, 0.028*k, 0),
			cone(Shoe, limb, ankle.Sub(Vec{Z: 0.012 * k}), toe, 0.026*k, 0.020*k, 0),
		)
		arm := -side * armSwing * math.Sin(phase)
		shoulder := neck.Add(Vec{0, side * 0.118 * k, -0.035 * k})
		elbow := shoulder.Add(to(arm, 0.180*k))
		hand := elbow.Add(to(arm+0.35, 0.155*k))
		s = append(s,
			cone(Coat, limb, shoulder, elbow, 0.036*k, 0.029*k, 0),
			cone(Coat, limb, elbow, hand, 0.029*k, 0.022*k, 0),
			ellipsoid(Skin, limb, hand.Add(to(arm+0.35, 0.030*k)), x, y, z, 0.022*k, 0.018*k, 0.034*k, 0),
		)
		if i == 0 { // the bag hangs on the side of the camera
			s = append(s, ellipsoid(Bag, limb, hip.Add(Vec{-dir * 0.03 * k, -0.05 * k, 0.02 * k}), x, y, z, 0.085*k, 0.030*k, 0.085*k, 0))
		}
	}
	return s
}
