// Package scene is the invented bout as a play of jointed figures: who stands
// where at any true instant, what the cameras see, and the exact instants of
// the named moments. It is the ground truth of the demo; nothing here is
// measured and nothing is drawn.
//
// Most callers need two calls: Films for the four touches and Film.At for both
// figures at an instant.
//
// Frame: the world frame of the whole program (metres; x along the piste, y
// away from the camera, z up). Instants are seconds on the true clock of the
// touch. Angles are radians. Movement is made of minimum-jerk shifts (Flash &
// Hogan 1985) added onto key poses; legs and arms follow by inverse kinematics,
// so that every segment keeps its length. A Film is never modified once Films
// has returned it.
package scene
