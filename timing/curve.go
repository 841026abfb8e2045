package timing

// MinimumJerk returns the share of a movement that is done at the share tau of
// its time: 10τ³ − 15τ⁴ + 6τ⁵, held at 0 before the start and at 1 after the
// end. Its speed peaks at 1.875 lengths per duration, half-way.
//
// Source: Flash and Hogan, J. Neurosci. 5:1688 (1985), equation for a movement
// from rest to rest.
func MinimumJerk(tau float64) float64 {
	if tau <= 0 {
		return 0
	}
	if tau >= 1 {
		return 1
	}
	return tau * tau * tau * (10 + float64(tau*(float64(6*tau)-15)))
}

// MinimumJerkSpeed returns the derivative of MinimumJerk by tau, 30τ²(1−τ)².
func MinimumJerkSpeed(tau float64) float64 {
	if tau <= 0 || tau >= 1 {
		return 0
	}
	r := tau * (1 - tau)
	return 30 * r * r
}

// MinimumJerkAcceleration returns the second derivative of MinimumJerk by tau,
// 60τ(1−τ)(1−2τ): at most 10/√3, at τ = ½ − √3/6.
func MinimumJerkAcceleration(tau float64) float64 {
	if tau <= 0 || tau >= 1 {
		return 0
	}
	return 60 * tau * (1 - tau) * (1 - 2*tau)
}

// PeakSpeedFactor is the greatest MinimumJerkSpeed: 15/8, at half time.
const PeakSpeedFactor = 1.875
