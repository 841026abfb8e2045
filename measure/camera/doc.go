// Package camera finds where the camera stood and how it looked, from known
// points of a flat floor and marks on known lines of it, and from then on turns pixels into metres with their
// uncertainty.
//
// Place fits one picture, PlaceTogether the pictures of one take, whose camera
// pans, tilts and zooms but stands still. A Placing then answers Floor (a point
// that stands on the floor), Locate (points above it, taken to lie near the plane
// of action) and Project (where a place shows). FitPlane finds the plane of action
// from foot marks. Using the floor map for a raised point is a mistake that no
// function here makes for you.
//
// World frame: metres, x along the piste and to the camera's right, y across and
// away from the camera, z up, floor at z = 0; any other flat court of known size
// serves as well. Image frame: pixels, origin at the centre of the top-left
// pixel, u right, v down. Pixels are square and the optical axis meets the
// picture at (width/2, height/2) unless the picture was cropped. Angles are in
// radians. No function modifies its arguments, and a Placing does not change.
//
// Where there is no answer a named error says what would mend it; where the
// answer is doubtful it comes with Warnings.
package camera
