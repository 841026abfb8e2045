package quantity

// Unit is the constraint of every unit of this package: a float64 that knows
// what it measures.
type Unit interface{ ~float64 }

// Metres is a length or a coordinate in the world frame (x along the piste, y
// across it and away from the camera, z up).
type Metres float64

// Seconds is a duration, or an instant on the true clock of the bout.
type Seconds float64

// Pixels is a length in the image, such as a marking error or a residual.
type Pixels float64

// Radians is an angle.
type Radians float64

// MetresPerSecond is a speed.
type MetresPerSecond float64

// MetresPerSecondSquared is an acceleration.
type MetresPerSecondSquared float64

// Chance is a probability between 0 and 1.
type Chance float64

// Ratio is a pure number.
type Ratio float64

// Milliseconds returns the duration in milliseconds, for printing only.
func (s Seconds) Milliseconds() float64 { return float64(s) * 1000 }

// Centimetres returns the length in centimetres, for printing only.
func (m Metres) Centimetres() float64 { return float64(m) * 100 }
