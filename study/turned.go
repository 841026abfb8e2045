package study

import "mesure/sport/mark"

// Turn returns how the camera stood when it took a frame: the matrix, by rows, that
// takes a direction of the world to the place where the picture shows it, in pixels
// up to a common factor, M = K·R of the pinhole camera (Hartley and Zisserman,
// Multiple View Geometry, 2nd ed., 6.1) without lens distortion. A camera that only
// turns and zooms shows at M_b·M_a⁻¹·p in frame b what it shows at p in frame a. It is
// false for a frame that no camera is known of.
func (r *Reading) Turn(take string, f mark.Frame) ([9]float64, bool) {
	p, ok := r.CameraAt(take, f)
	if !ok {
		return [9]float64{}, false
	}
	l, axes := p.Lens(), p.Axes()
	right, down, ahead := axes[0], axes[1], axes[2]
	fx, fy, skew, cx, cy := float64(l.Fx), float64(l.Fy), float64(l.Skew), float64(l.Cx), float64(l.Cy)
	var m [9]float64
	for i, d := range [3][3]float64{{right.X, down.X, ahead.X}, {right.Y, down.Y, ahead.Y}, {right.Z, down.Z, ahead.Z}} {
		m[i] = fx*d[0] + skew*d[1] + cx*d[2]
		m[3+i] = fy*d[1] + cy*d[2]
		m[6+i] = d[2]
	}
	return m, true
}
