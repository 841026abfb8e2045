package scene

// Limbs, for the folds of the cloth.
const (
	LimbTrunk = iota
	limbWeaponUpper
	limbWeaponFore
	limbRestUpper
	limbRestFore
	limbFrontThigh
	limbFrontShank
	limbRearThigh
	limbRearShank
	limbHead
)

// Solids returns the body and kit of the figure as rounded bodies. Radii are
// those of a lean adult in fencing kit of 1.80 m, scaled by the stature (own
// estimate, no source).
func (f *Figure) Solids() []Solid {
	k := f.Build.Stature / 1.80
	s := make([]Solid, 0, 40)
	s = f.trunkSolids(s, k)
	s = f.legSolids(s, k, f.FrontHip, f.FrontKnee, f.Front, limbFrontThigh)
	s = f.legSolids(s, k, f.RearHip, f.RearKnee, f.Rear, limbRearThigh)
	s = f.armSolids(s, k, f.Shoulder, f.Elbow, f.Wrist, f.Hand, limbWeaponUpper, Glove)
	s = f.armSolids(s, k, f.RearShld, f.RearElbow, f.RearWrist, f.RearHand, limbRestUpper, Skin)
	s = f.headSolids(s, k)
	return f.weaponSolids(s)
}

func (f *Figure) trunkSolids(s []Solid, k float64) []Solid {
	chestZ := f.Spine
	chestX := f.Across
	chestY := chestZ.Cross(chestX)
	hipX := f.HipAxis.across(f.Spine)
	midX := chestX.Mix(hipX, 0.5).across(f.Spine)
	midY := chestZ.Cross(midX)
	at := func(share float64) Vec { return f.Pelvis.Mix(f.Neck, share) }
	s = append(s,
		ellipsoid(Jacket, LimbTrunk, at(0.70), chestX, chestY, chestZ, 0.190*k, 0.140*k, 0.190*k, 0.07),
		ellipsoid(Jacket, LimbTrunk, at(0.40), midX, midY, chestZ, 0.164*k, 0.132*k, 0.210*k, 0.07),
		ellipsoid(Breeches, LimbTrunk, at(-0.02), hipX, chestZ.Cross(hipX), chestZ, 0.172*k, 0.142*k, 0.135*k, 0.07),
		cone(Jacket, LimbTrunk, at(0.93), f.Shoulder.Mix(f.Neck, 0.10), 0.085*k, 0.068*k, 0.05),
		cone(Jacket, LimbTrunk, at(0.93), f.RearShld.Mix(f.Neck, 0.10), 0.085*k, 0.068*k, 0.05),
		// The skirt of the jacket, over the breeches.
		ellipsoid(Jacket, LimbTrunk, at(0.13), hipX.Mix(midX, 0.5).across(f.Spine), chestZ.Cross(hipX.Mix(midX, 0.5).across(f.Spine)), chestZ, 0.180*k, 0.150*k, 0.110*k, 0.025),
	)
	return s
}

func (f *Figure) legSolids(s []Solid, k float64, hip, knee Vec, foot Foot, limb int) []Solid {
	shank := foot.Ankle.Sub(knee)
	sole := foot.Toe.Sub(foot.Heel).Unit()
	top := foot.Ankle.Sub(foot.Heel).across(sole)
	back := sole.Mul(-1).across(shank.Unit())
	calf := knee.Add(shank.Mul(0.30)).Add(back.Mul(0.018 * k))
	cuff := knee.Add(shank.Mul(0.20))
	s = append(s,
		cone(Breeches, limb, hip.Mix(knee, 0.02), knee.Mix(hip, 0.30), 0.112*k, 0.086*k, 0.06),
		cone(Breeches, limb, knee.Mix(hip, 0.34), knee, 0.088*k, 0.071*k, 0.06),
		cone(Breeches, limb+1, knee, cuff, 0.070*k, 0.063*k, 0.03),
		cone(Sock, limb+1, cuff, knee.Add(shank.Mul(0.55)), 0.056*k, 0.049*k, 0.02),
		cone(Sock, limb+1, calf, knee.Add(shank.Mul(0.50)), 0.050*k, 0.040*k, 0.04),
		cone(Sock, limb+1, knee.Add(shank.Mul(0.5)), foot.Ankle, 0.047*k, 0.037*k, 0.03),
	)
	heel := foot.Heel.Add(sole.Mul(0.038 * k)).Add(top.Mul(0.036 * k))
	ball := foot.Heel.Mix(foot.Toe, 0.70).Add(top.Mul(0.031 * k))
	tip := foot.Toe.Sub(sole.Mul(0.026 * k)).Add(top.Mul(0.025 * k))
	instep := foot.Ankle.Add(top.Mul(-0.004)).Add(sole.Mul(0.012))
	return append(s,
		cone(Shoe, limb+1, heel, ball, 0.037*k, 0.037*k, 0.012),
		cone(Shoe, limb+1, ball, tip, 0.037*k, 0.026*k, 0.02),
		cone(Shoe, limb+1, instep, ball.Add(top.Mul(0.004)), 0.041*k, 0.030*k, 0.03),
		cone(Shoe, limb+1, instep, heel, 0.041*k, 0.036*k, 0.03),
	)
}

func (f *Figure) armSolids(s []Solid, k float64, shoulder, elbow, wrist, hand Vec, limb int, at Part) []Solid {
	s = append(s,
		cone(Jacket, limb, shoulder, elbow.Mix(shoulder, 0.25), 0.075*k, 0.061*k, 0.06),
		cone(Jacket, limb, elbow.Mix(shoulder, 0.3), elbow, 0.062*k, 0.055*k, 0.05),
		cone(Jacket, limb+1, elbow, wrist, 0.056*k, 0.041*k, 0.04),
	)
	fist := hand.Sub(wrist).Unit()
	if at == Glove {
		return append(s,
			cone(Glove, limb+1, elbow.Mix(wrist, 0.50), wrist, 0.059*k, 0.042*k, 0.006),
			cone(Glove, limb+1, wrist, hand, 0.042*k, 0.047*k, 0.02),
			cone(Glove, limb+1, hand, hand.Add(f.Blade.Mul(0.030)), 0.044*k, 0.036*k, 0.02),
		)
	}
	return append(s,
		cone(Skin, limb+1, wrist.Sub(fist.Mul(0.01)), hand, 0.029*k, 0.038*k, 0.012),
		cone(Skin, limb+1, hand, hand.Add(fist.Mul(0.045*k)), 0.036*k, 0.024*k, 0.015),
	)
}

func (f *Figure) headSolids(s []Solid, k float64) []Solid {
	x := f.Face
	z := up().across(x)
	y := z.Cross(x)
	c := f.Mask
	return append(s,
		ellipsoid(MaskMesh, limbHead, c, x, y, z, 0.132*k, 0.106*k, 0.146*k, 0.004),
		ellipsoid(MaskMesh, limbHead, c.Add(x.Mul(0.045*k)).Sub(z.Mul(0.025*k)), x, y, z, 0.098*k, 0.078*k, 0.118*k, 0.03),
		cone(Bib, limbHead, c.Sub(z.Mul(0.112*k)).Add(x.Mul(0.045*k)), f.Neck.Add(x.Mul(0.055*k)).Add(z.Mul(0.025)), 0.066*k, 0.060*k, 0.012),
		cone(Jacket, limbHead, f.Neck, c.Sub(z.Mul(0.10*k)).Sub(x.Mul(0.02*k)), 0.066*k, 0.060*k, 0.03),
	)
}

func (f *Figure) weaponSolids(s []Solid) []Solid {
	// A bell of radius R cut where it is GuardRadius wide and GuardDepth deep.
	r := (GuardRadius*GuardRadius + GuardDepth*GuardDepth) / (2 * GuardDepth)
	bell := Solid{Part: Bell, Kind: Cap, A: f.Guard.Sub(f.Blade.Mul(r)), RA: r, Limb: limbHead}
	bell.Axes[0] = f.Blade
	bell.Half[0] = r - GuardDepth
	return append(s, bell,
		cone(Grip, limbHead, f.Guard.Sub(f.Blade.Mul(0.02)), f.Guard.Sub(f.Blade.Mul(0.155)), 0.013, 0.012, 0.002))
}

// BladeCurve returns a place on the blade: share 0 at the guard, 1 at the point.
func (f *Figure) BladeCurve(share float64) Vec {
	return f.Guard.Mix(f.Tip, share).Add(f.Bow.Mul(4 * share * (1 - share)))
}
