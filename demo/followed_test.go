package demo

import (
	"context"
	"math"
	"testing"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// placedOn reads a touch whose piste is placed on these frames, as if each had been
// followed.
func placedOn(t *testing.T, touch int, noise float64, frames ...mark.Frame) *study.Reading {
	t.Helper()
	k := Handful(touch, 5, HandfulOptions{})
	f := scene.Films()[touch]
	k.Placings = nil
	c := &coach{film: f, noise: noise, chance: newChance(5, touch)}
	for _, n := range frames {
		c.place(&k, &f.Shots[0], n, nil)
	}
	r, err := study.Read(context.Background(), &k, reelFootage{}, study.ReadOptions{Draws: study.MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestFollowedCameras: cameras from nearly exact placings put the floor where it
// is; when the truth that they are held against is turned by a milliradian, the
// error is what the geometry gives. At the middle of the picture, 10.5 m off and
// looked at with a slope of about 1 : 4.2, a turn by a milliradian moves the place
// by 10.5 mm along the piste.
func TestFollowedCameras(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	r := placedOn(t, 0, 0.02, 40, 41, 42)
	got := Followed([]FollowedSample{{Touch: 0, Reading: r}}).Camera
	frames := float64(scene.Films()[0].Shots[0].Frames - 2)
	if got.N < 3*20 || got.P95AbsError > 0.002 || math.Abs(got.Unplaced-(frames-3)/frames) > 1e-9 {
		t.Errorf("nearly exact placings: %+v", got)
	}
	truth := TruthOf(0)
	var off tally
	for _, n := range []int{40, 41, 42} {
		f := truth.Takes[0].Frames[n]
		f.Camera.Pan += 0.001
		cam, ok := r.CameraAt("live", f.Frame)
		if !ok {
			t.Fatal("no camera on a placed frame")
		}
		floor(&off, &f, cam)
	}
	if m := off.quantile(0.5); m < 0.0095 || m > 0.0130 || off.coverage() > 0.5 {
		t.Errorf("a camera turned by a milliradian: median %.4f m, %.2f held", m, off.coverage())
	}
	one := Followed([]FollowedSample{{Touch: 1, Reading: placedOn(t, 1, 0.02, 199, 200, 201), OnePlaced: true}}).Camera
	if one.N != 0 || one.OneN < 3*20 || one.OneP95 != missed { // most of the frames about 4 s have no camera
		t.Errorf("one placed frame: %+v", one)
	}
}

// trackOf is a track on the truth, moved along the piste by this much, that says of
// every frame what a follower might; in the picture it is 3 px too low.
func trackOf(take *TrueTake, s mark.Side, w mark.What, off float64, state func(n int, seen bool) string) study.Track {
	k := study.Track{Take: take.ID, Who: s, What: w}
	for n := range take.Frames {
		f := &take.Frames[n]
		p := f.Of(s).Point(w)
		px, _ := f.Camera.camera().Project(scene.Vec{X: p.X, Y: p.Y, Z: p.Z})
		px.V += 3
		k.Steps = append(k.Steps, study.TrackStep{Frame: f.Frame, State: state(n, f.Of(s).Seen(w)), Px: px,
			X: quantity.Exactly(quantity.Metres(p.X + off)), Z: quantity.Exactly(quantity.Metres(p.Z))})
	}
	return k
}

// TestFollowedPoints: tracks that are off by a known length, lost where they should
// be or not, and peaks that are too high by a known share.
func TestFollowedPoints(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	r := placedOn(t, 1, 1.5, 0, 60)
	truth := TruthOf(1)
	take := &truth.Takes[0]
	honest := func(n int, seen bool) string {
		switch {
		case n%12 == 0 && seen:
			return study.StateMarked
		case !seen:
			return study.StateLost
		}
		return study.StateFollowed
	}
	blind := func(int, bool) string { return study.StateFollowed }
	guard := trackOf(take, mark.Left, mark.Guard, 0.03, honest)
	// The greatest speed of the left guard by differences of the truth from frame to
	// frame; over 20 ms they fall short of the peak by less than a hundredth.
	real := 0.0
	for n := 1; n < len(take.Frames); n++ {
		a, b := take.Frames[n-1].Left.Point(mark.Guard), take.Frames[n].Left.Point(mark.Guard)
		real = math.Max(real, math.Hypot(a.X-b.X, a.Z-b.Z)*scene.FrameRate)
	}
	stated := quantity.Normal(quantity.MetresPerSecond(1.10*real), 0.1)
	bias := quantity.Normal(quantity.MetresPerSecond(0.04*real), 0.01)
	guard.Peak, guard.PeakBias = &stated, &bias
	r.Tracks = []study.Track{guard, trackOf(take, mark.Right, mark.FrontToe, 0.02, blind)}
	got := Followed([]FollowedSample{{Touch: 1, Reading: r}}).Points
	hidden := [2]int{}
	for n := range take.Frames {
		for i, p := range [2]bool{take.Frames[n].Left.Seen(mark.Guard), take.Frames[n].Right.Seen(mark.FrontToe)} {
			if !p {
				hidden[i]++
			}
		}
	}
	if hidden[0] == 0 || hidden[1] == 0 {
		t.Fatal("nothing is hidden")
	}
	if math.Abs(got.GuardP95-0.03) > 1e-6 || math.Abs(got.ToeP95-0.02) > 1e-6 || got.MaskP95 != 0 || got.TipP95 != 0 {
		t.Errorf("points: %+v", got)
	}
	if math.Abs(got.BodyP95Px-3) > 1e-6 || got.TipP95Px != 0 {
		t.Errorf("in the picture: %.3f and %.3f px", got.BodyP95Px, got.TipP95Px)
	}
	if want := float64(hidden[0]) / float64(hidden[0]+hidden[1]); got.LostN != hidden[0]+hidden[1] || got.LostRecall != want {
		t.Errorf("%d hidden frames, recall %.3f, not %d and %.3f", got.LostN, got.LostRecall, hidden[0]+hidden[1], want)
	}
	if got.Followed != 1 || got.SpeedN != 1 || math.Abs(got.HandSpeedRaw-0.10) > 0.012 || math.Abs(got.HandSpeedBias-0.06) > 0.012 {
		t.Errorf("followed %.3f, bias %.4f, uncorrected %.4f", got.Followed, got.HandSpeedBias, got.HandSpeedRaw)
	}
	r.Tracks[0].Steps = r.Tracks[0].Steps[:100]
	if less := Followed([]FollowedSample{{Touch: 1, Reading: r}}).Points; less.Followed >= 1 {
		t.Error("frames that were not followed count as followed")
	}
}

// TestReplayClockIsFound: from the moments of a handful, which the live picture and
// the replay both show, the clock of the replay comes out where it says. Five
// moments over 0.65 s, each known to a live frame of 20 ms, leave a factor of 4 open
// by 0.02/√12/(0.23·√5) = 1.1 % if each is taken for itself; half of the starts are
// within half a live frame.
func TestReplayClockIsFound(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	var samples []FollowedSample
	var factors tally
	for seed := range uint64(10) {
		k := Handful(3, seed+1, HandfulOptions{})
		r, err := study.Read(context.Background(), &k, reelFootage{}, study.ReadOptions{Draws: study.MinDraws})
		if err != nil {
			t.Fatal(err)
		}
		c, ok := r.Clock("replay")
		if !ok || c.From != study.ClockTied {
			t.Fatalf("seed %d: the clock is %+v", seed+1, c)
		}
		t.Logf("seed %d: factor %.3f ± %.3f, start %.4f ± %.4f s", seed+1, c.Factor.Mean, c.Factor.SD, c.Offset.Mean, c.Offset.SD)
		factors.add(float64(c.Factor.Mean)/4-1, c.Factor.Covers(4))
		samples = append(samples, FollowedSample{Touch: 3, Reading: r, ClockOnly: true})
	}
	got := Followed(samples).Replay
	t.Logf("half within %.4f, %.2f held, worst %+v", factors.quantile(0.5), factors.coverage(), got)
	if got.N != 10 || got.FactorWorst != factors.quantile(1) || got.FactorWorst > 0.04 || got.FactorError > 0.011 || factors.coverage() < 0.8 || got.OffsetFrames > 0.5 || got.OffsetWorst > 1 {
		t.Errorf("half within %.4f, %.2f held, worst of ten %+v", factors.quantile(0.5), factors.coverage(), got)
	}
}
