package scene

import (
	"math"

	"mesure/sport/piste"
)

// Vec is a point or a direction in the world frame, in metres or without unit.
type Vec struct{ X, Y, Z float64 }

// up is the vertical.
func up() Vec { return Vec{0, 0, 1} }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a − b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul returns k·a.
func (a Vec) Mul(k float64) Vec { return Vec{a.X * k, a.Y * k, a.Z * k} }

// Dot returns the scalar product.
func (a Vec) Dot(b Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross returns the vector product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Len returns the length.
func (a Vec) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns the direction of a, and the vertical for a vector without one.
func (a Vec) Unit() Vec {
	n := a.Len()
	if n == 0 {
		return up()
	}
	return a.Mul(1 / n)
}

// Mix returns a + k·(b − a).
func (a Vec) Mix(b Vec, k float64) Vec { return a.Add(b.Sub(a).Mul(k)) }

// Place returns the vector as a place of the world frame.
func (a Vec) Place() piste.Place { return piste.Place{X: a.X, Y: a.Y, Z: a.Z} }

// across returns the part of a that stands square to the unit vector n, as a
// unit vector.
func (a Vec) across(n Vec) Vec { return a.Sub(n.Mul(a.Dot(n))).Unit() }
