package camera

// Warning is a doubt that goes with a value: a code for the machine, what it is
// about, the measure of doubt, and a sentence that says what would mend it.
type Warning struct {
	// Code is one of the Code constants.
	Code string
	// About names the point, or is empty for the whole picture.
	About string
	// Doubt is the measure of doubt, in the unit that Text states.
	Doubt float64
	Text  string
}

// Codes of the warnings.
const (
	// CodeMisfit: the residuals are far above the marking noise. Doubt is their
	// ratio.
	CodeMisfit = "rms-above-noise"
	// CodeDisagrees: this one point disagrees with the others. Doubt is its
	// distance from where the others put it, in marking errors.
	CodeDisagrees = "point-disagrees"
	// CodeSwap: exchanging the labels of these two points would make all agree.
	// Doubt is how far they lie off as they stand, in marking errors.
	CodeSwap = "labels-swapped"
	// CodeDistortion: a radial coefficient would explain the misfit. Doubt is
	// the k1 that would.
	CodeDistortion = "lens-distortion"
	// CodeWidth: another width of the court would explain the misfit. Doubt is
	// that width as a factor of the one that was said.
	CodeWidth = "court-width"
	// CodeTurned: the camera looks against the frame, x running to its left.
	// Doubt is the cosine between x and the camera's right.
	CodeTurned = "turned-round"
	// CodeMirrored: the map from floor to picture turns left into right. Doubt
	// is the sign of its determinant.
	CodeMirrored = "mirrored"
	// CodeOffImage: the point lies outside the picture. Doubt is by how many
	// pixels.
	CodeOffImage = "point-off-image"
	// CodeNoSpare: no point more than needed, so that a wrong one cannot show.
	// Doubt is the number of residual equations that are left over.
	CodeNoSpare = "nothing-to-spare"
	// CodeGrazing: the camera looks along the floor. Doubt is the angle in
	// degrees.
	CodeGrazing = "grazing-view"
	// CodeFocal: the picture does not show the focal length; the prior does.
	// Doubt is the relative standard deviation.
	CodeFocal = "focal-from-prior"
	// CodeRoll: the camera is rolled further than level cameras are. Doubt is
	// the roll in degrees.
	CodeRoll = "roll-unusual"
	// CodeMoved: the camera's place in this picture disagrees with the place that
	// the pictures of the take share. Doubt is the distance in standard
	// deviations.
	CodeMoved = "camera-moved"
	// CodeFewFeet: the plane of action rests on fewer than two foot marks. Doubt
	// is how many were used.
	CodeFewFeet = "few-feet"
)
