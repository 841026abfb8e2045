package camera

import "mesure/quantity"

// Defaults of the priors. They are weak: a picture that shows the camera
// overrules them.
const (
	// FocalMin and FocalMax hold 95 % of the prior of the focal length, whose
	// logarithm is normal: a phone at 4 m and an arena camera 40 m away behind a
	// long lens both lie inside (common practice, no source).
	FocalMin quantity.Pixels = 300
	FocalMax quantity.Pixels = 15000
	// HeightMin and HeightMax hold 95 % of the prior of the camera's height
	// above the floor, whose logarithm is normal: from a bag on the floor to the
	// balcony of a hall (common practice, no source).
	HeightMin quantity.Metres = 0.3
	HeightMax quantity.Metres = 20
	// RollSD is the standard deviation of the prior of the roll about 0, three
	// degrees: bout cameras are set level (common practice, no source).
	RollSD quantity.Radians = 0.05235987755982989
	// PriorShare is the share of a prior in what is known of its quantity, in terms
	// of inverse variance, below which the picture overrules it: it is then left
	// out, so that exact marks give the exact camera.
	PriorShare quantity.Ratio = 0.01
	// CentreSD is the standard deviation, as a share of the picture's width, of
	// the principal point of a cropped picture about the middle (common
	// practice, no source).
	CentreSD quantity.Ratio = 0.10
	// K1SD is the standard deviation of the prior of the radial coefficient k1
	// about 0 (common practice, no source; the lenses of the outside checks lie
	// between −0.25 and 0.08).
	K1SD quantity.Ratio = 0.5
	// ScaleSD is the standard deviation of the scale of the piste: its rear
	// limits may each be off by half of the length tolerance of 4 cm (FIE t.18.2),
	// taken as rectangular: 0.02/√3/7.
	ScaleSD quantity.Ratio = 0.0016495721976846
)

// Defaults of the plane of action and of what stands in it.
const (
	// PlaneSD is the standard deviation of the plane of action about the long
	// axis at x = 0, before any foot is marked (common practice, no source).
	PlaneSD quantity.Metres = 0.15
	// SlopeSD is the standard deviation of its slope against the long axis, in
	// metres across per metre along (common practice, no source).
	SlopeSD quantity.Ratio = 0.03
	// ArmOffSD is how far, as a standard deviation, the arm and the weapon lie
	// from the plane of action where a sighting does not say (design default).
	ArmOffSD quantity.Metres = 0.15
	// FeetOffSD is the same for a mark on the sole (design default).
	FeetOffSD quantity.Metres = 0.05
	// SoleHeight and SoleHeightSD describe how high a mark on the sole of a
	// standing foot lies above the floor (common practice, no source).
	SoleHeight   quantity.Metres = 0.02
	SoleHeightSD quantity.Metres = 0.04
	// FootTail is the number of degrees of freedom of the Student law of a foot
	// mark: few, so that a lifted foot does not tilt the plane.
	FootTail quantity.Ratio = 3
)

// Thresholds of the refusals and warnings.
const (
	// MinPoints is the fewest points that place a picture on its own.
	MinPoints = 4
	// MinSharedPoints is the fewest points of a picture whose camera place is
	// known from other pictures of the take.
	MinSharedPoints = 2
	// DegenerateRatio is the smallest share of the eighth singular value of the
	// normalised 2n×9 matrix of the direct linear transformation in the first at
	// which a set of points counts as general. Degenerate sets leave rounding
	// noise (below 1e-12) or, on marked pixels, marking noise.
	DegenerateRatio quantity.Ratio = 1e-6
	// FlatRatio is the same limit for the points on the floor alone, where the
	// coordinates are known and only rounding blurs them.
	FlatRatio quantity.Ratio = 1e-7
	// EdgeOnSDs is how many marking errors the pixels must spread, root mean
	// square, across the line that fits them best.
	EdgeOnSDs quantity.Ratio = 1
	// SamePlace is the distance below which two points of the floor are one.
	SamePlace quantity.Metres = 1e-6
	// SameMarkSDs is how many marking errors apart two marks on one line must be to
	// tell more than one of them.
	SameMarkSDs quantity.Ratio = 4
	// OutlierSDs is the residual, in marking errors, beyond which a point loses
	// weight; inside it the fit is plain least squares.
	OutlierSDs quantity.Ratio = 4
	// MisfitChance is the chance below which a residual sum counts as far above
	// the marking noise.
	MisfitChance quantity.Chance = 1e-3
	// NamingMargin is by how much leaving out one point, or exchanging one pair of
	// labels, must lower the sum of squared residuals (in marking errors) more than
	// any other such step, for it to be named: odds of e^4.5, 90 to 1.
	NamingMargin quantity.Ratio = 9
	// SearchPoints is the greatest number of points among which single wrong ones
	// and pairs are searched for one by one; beyond it the weights must do.
	SearchPoints = 32
	// SwapGain is the same for the quick look at pairs of labels, as a factor.
	SwapGain quantity.Ratio = 4
	// DistortionGain is by what factor k1 must lower the sum of squared residuals
	// for lens distortion to be named as the cause.
	DistortionGain quantity.Ratio = 4
	// WidthFactor is how much wider or narrower than was said a court is tried.
	WidthFactor quantity.Ratio = 1.6
	// GrazingAngle is the angle between the line of sight and the floor below
	// which the view counts as grazing, five degrees.
	GrazingAngle quantity.Radians = 0.08726646259971647
	// FocalWeak is the relative standard deviation of the focal length above
	// which the picture does not show it and the prior takes over.
	FocalWeak quantity.Ratio = 0.20
	// HorizonSDs is how many marking errors a pixel must lie below the horizon
	// to have a place on the floor.
	HorizonSDs quantity.Ratio = 2
	// OutsideSDs is how many marking errors a mark must lie outside the picture to
	// be warned of.
	OutsideSDs quantity.Ratio = 3
	// MovedSDs is how far, in standard deviations, the camera's place in one
	// picture may lie from the place that all pictures of a take share.
	MovedSDs quantity.Ratio = 4
	// MaxCoordinate is the largest absolute value of a pixel or metre that is
	// read as a coordinate at all.
	MaxCoordinate = 1e6
)

// Tolerances of the numerics.
const (
	// UndistortTolerance is where Newton's iteration of the lens stops.
	UndistortTolerance quantity.Pixels = 1e-9
)
