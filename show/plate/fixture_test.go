package plate

import (
	"encoding/json"
	"flag"
	"image"
	"math"
	"os"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

var update = flag.Bool("update", false, "write the golden files anew")

// fixtureFile is the invented reading that the tests of show share. It is
// written by this test with -update, so that it can never differ from what
// stands below.
const fixtureFile = "../testdata/reading.json"

// The invented camera: 8.5 m before the piste, 1.7 m high, looking level.
const (
	eyeX, eyeY, eyeZ = 0.35, -8.5, 1.7
	focal            = 1900.0
	frameW, frameH   = 1280, 720
	horizon          = 230.0
)

// seen returns where a place is in the picture.
func seen(x, y, z float64) mark.Pixel {
	d := y - eyeY
	return mark.Pixel{U: frameW/2 + focal*(x-eyeX)/d, V: horizon + focal*(eyeZ-z)/d}
}

// bodies of the two fencers in the plane of action: x and z in metres.
var bodies = [2]map[mark.What][2]float64{
	{mark.Point: {0.38, 1.22}, mark.Guard: {-0.50, 1.25}, mark.Elbow: {-0.80, 1.30}, mark.Shoulder: {-1.10, 1.42}, mark.Mask: {-1.06, 1.68},
		mark.Hip: {-1.25, 0.95}, mark.FrontKnee: {-0.85, 0.55}, mark.FrontToe: {-0.52, 0}, mark.FrontHeel: {-0.76, 0}, mark.RearToe: {-1.62, 0}, mark.RearHeel: {-1.75, 0}},
	{mark.Point: {0.30, 1.31}, mark.Guard: {1.14, 1.12}, mark.Elbow: {1.45, 1.20}, mark.Shoulder: {1.68, 1.40}, mark.Mask: {1.64, 1.66},
		mark.Hip: {1.78, 0.93}, mark.FrontKnee: {1.42, 0.52}, mark.FrontToe: {1.30, 0}, mark.FrontHeel: {1.54, 0}, mark.RearToe: {2.20, 0}, mark.RearHeel: {2.34, 0}},
}

func invented() *study.Reading {
	t := &study.Touch{
		Title: "The extension into the preparation", Number: 8, Before: bout.Score{Left: 4, Right: 3}, Lamps: &bout.Lamps{Left: true}, Invented: true,
		Bout: bout.Bout{Event: "Harbour Hall Open", Round: "quarter-final", Date: "2026-03-14", Weapon: bout.Epee, Touches: 15,
			Left:  bout.Fencer{Name: "Ida Maren", Club: "Salle du Phare", Hand: bout.RightHand},
			Right: bout.Fencer{Name: "Jonas Öberg", Club: "Cercle des Quais", Hand: bout.RightHand}},
		Videos:  []study.Video{{ID: "hall", File: "hall.mp4"}},
		Takes:   []mark.Take{{ID: "live", Video: "hall", From: 0, To: 120}},
		Moments: []mark.Moment{{ID: "launch", Name: "left launches", Take: "live", After: 41, By: 42}, {ID: "hit", Name: "the hit", Take: "live", After: 50, By: 51}},
	}
	r := &study.Reading{Touch: t, Inputs: "5b0c7f2e9d3a41c68e0f7a92b4d1c3e5f60718293a4b5c6d7e8f901a2b3c4d5e", Version: "1", Seed: 7, Draws: 20000,
		Clips: map[string]mark.Clip{"hall": {Width: frameW, Height: frameH}}}
	r.Moments = []study.MomentReading{
		{Moment: t.Moments[0], At: quantity.Uniform[quantity.Seconds](1.64, 1.68)},
		{Moment: t.Moments[1], At: quantity.Uniform[quantity.Seconds](2.00, 2.04)},
	}
	in := study.Instant{Take: "live", Frame: 42, Moment: "launch", At: quantity.Uniform[quantity.Seconds](1.64, 1.68)}
	for _, s := range mark.Sides {
		for _, w := range mark.Points() {
			p := bodies[s][w]
			place := [3]quantity.Of[quantity.Metres]{quantity.Normal(quantity.Metres(p[0]), 0.02), quantity.Normal[quantity.Metres](0, 0.15), quantity.Normal(quantity.Metres(p[1]), 0.03)}
			in.Bodies[s].Points = append(in.Bodies[s].Points, study.PointPlace{What: w, At: seen(p[0], 0, p[1]), SD: 1.5, Place: place})
		}
		left := quantity.Normal(quantity.Metres(0.31), 0.04)
		in.Bodies[s].ArmLeft = &left
	}
	in.Gaps = append(gapsFrom(mark.Left), gapsFrom(mark.Right)...)
	r.Instants = []study.Instant{in}
	r.Placings = []study.PlacedFrame{inventedPlacing()}
	r.Race = inventedRace(in)
	r.Warnings = []study.Warning{
		{Code: "moment-wide", About: "the hit", Doubt: 0.04, Text: "At 25 frames a second the hit lies within 40 ms: a slow replay tied to this take would narrow it."},
	}
	return r
}

func gapsFrom(s mark.Side) []study.Gap {
	var all []study.Gap
	tip, body := bodies[s][mark.Point], bodies[s.Other()]
	nearest := 0
	for _, target := range mark.Targets() {
		x, z := 0.0, 0.0
		for _, share := range target.Made() {
			x, z = x+share.Weight*body[share.Of][0], z+share.Weight*body[share.Of][1]
		}
		gap := math.Hypot(x-tip[0], z-tip[1])
		band, chance := "medium", 0.84
		switch {
		case gap > 1.35:
			band, chance = "long", 0.77
		case gap < 0.75:
			band, chance = "short", 0.55
		}
		all = append(all, study.Gap{Of: s, Target: target, Gap: quantity.Normal(quantity.Metres(gap), quantity.Metres(0.03+0.02*gap)), Band: band, Chance: quantity.Chance(chance),
			From: seen(tip[0], 0, tip[1]), To: seen(x, 0, z)})
		if gap < float64(all[nearest].Gap.Mean) {
			nearest = len(all) - 1
		}
	}
	all[nearest].Nearest = true
	return all
}

func inventedPlacing() study.PlacedFrame {
	pf := study.PlacedFrame{Take: "live", Frame: 42, Focal: quantity.Normal[quantity.Pixels](focal, 64), RMS: 1.24,
		Position: [3]quantity.Of[quantity.Metres]{quantity.Normal[quantity.Metres](eyeX, 0.04), quantity.Normal[quantity.Metres](eyeY, 0.22), quantity.Normal[quantity.Metres](eyeZ, 0.05)},
		Roll:     quantity.Normal[quantity.Radians](0.004, 0.003)}
	for _, l := range piste.Lines() {
		a, b := seen(l.X, -piste.Width/2, 0), seen(l.X, piste.Width/2, 0)
		if a.U > 0 && a.U < frameW || b.U > 0 && b.U < frameW {
			pf.Grid = append(pf.Grid, study.GridLine{Name: l.Name, Painted: l.Painted, Points: []mark.Pixel{a, b}})
		}
	}
	for _, y := range []float64{-piste.Width / 2, piste.Width / 2} {
		name := piste.Near
		if y > 0 {
			name = piste.Far
		}
		d := (y - eyeY) / focal
		pf.Grid = append(pf.Grid, study.GridLine{Name: name, Painted: true, Points: []mark.Pixel{
			seen(eyeX-frameW/2*d, y, 0), seen(eyeX+frameW/2*d, y, 0)}})
	}
	for i, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"} {
		p, _ := piste.Named(name, piste.Width)
		fit := seen(p.X, p.Y, 0)
		s, c := math.Sincos(float64(i) * 2.1)
		off := 0.6 + 0.3*float64(i)
		pf.Residuals = append(pf.Residuals, study.Residual{Name: name, Fitted: fit, At: mark.Pixel{U: fit.U + off*c, V: fit.V + off*s}, Off: quantity.Pixels(off), Share: quantity.Ratio(off / 1.5)})
	}
	return pf
}

// eased is the minimum-jerk curve from 0 to 1.
func eased(u float64) float64 {
	u = math.Max(0, math.Min(1, u))
	return u * u * u * (10 + u*(6*u-15))
}

func inventedRace(in study.Instant) *study.Race {
	run := func(onset, arm, armTime, body, bodyTime, closing float64) study.Run {
		r := study.Run{ParametersFrom: "defaults for épée, club", Onset: quantity.Normal(quantity.Seconds(onset), 0.025)}
		for i := range 81 {
			at := float64(i)*float64(study.TravelStep) - onset
			r.Travel = append(r.Travel, quantity.Metres(arm*eased(at/armTime)+body*eased((at-0.08)/bodyTime)))
			r.Closing = append(r.Closing, quantity.Metres(closing*eased(float64(i)*float64(study.TravelStep)/0.6)))
		}
		return r
	}
	left := run(0.02, 0.31, 0.23, 0.72, 0.55, 0.10)
	left.Action, left.Target, left.OnsetText = "lunge", mark.Forearm, "starts as seen: left launches"
	left.Gap, left.Arrival, left.Arrives = in.Gaps[1].Gap, quantity.Normal[quantity.Seconds](0.431, 0.038), 0.99
	right := run(0.22, 0.34, 0.23, 0.55, 0.60, 0.30)
	right.Action, right.Target, right.OnsetText = "extension", mark.Hand, "reacts to what is seen"
	right.Gap, right.Arrival, right.Arrives = in.Gaps[8].Gap, quantity.Normal[quantity.Seconds](0.487, 0.045), 0.93
	chance := func(p float64) quantity.Of[quantity.Chance] {
		return quantity.Of[quantity.Chance]{Mean: quantity.Chance(p), SD: 0.003, Lo: quantity.Chance(math.Max(0, p-0.006)), Hi: quantity.Chance(p + 0.006)}
	}
	return &study.Race{Moment: "launch", Take: "live", Frame: 42, Weapon: bout.Epee, Window: quantity.Uniform[quantity.Seconds](0.040, 0.050),
		Runs: [2]study.Run{left, right}, LeftOnly: chance(0.583), RightOnly: chance(0.067), Both: chance(0.342), Neither: chance(0.008),
		LeftFirst: chance(0.83), Margin: quantity.Normal[quantity.Seconds](0.056, 0.059),
		Matters: []study.Matter{{Name: "right's reaction", Share: 0.44, Mend: "mark the moment at which the answer starts, instead of assuming a reaction"}, {Name: "when left starts", Share: 0.21, Mend: "tie a slow replay to the live take"}},
		Finding: "Left’s lunge arrives first in 83 % of the draws, 56 ms ahead of right’s extension"}
}

func TestTheFixtureIsWhatTheTestsBuild(t *testing.T) {
	b, err := json.MarshalIndent(invented(), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	b = append(b, '\n')
	if *update {
		// Written at once, because the tests of other packages may be reading it.
		if err := os.WriteFile(fixtureFile+".new", b, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(fixtureFile+".new", fixtureFile); err != nil {
			t.Fatal(err)
		}
	}
	old, err := os.ReadFile(fixtureFile)
	if err != nil {
		t.Fatal(err)
	}
	var kept, now study.Reading
	if err := json.Unmarshal(old, &kept); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &now); err != nil {
		t.Fatal(err)
	}
	if a, b := MetresBetween(kept.Instants[0].Gaps[0].Gap), MetresBetween(now.Instants[0].Gaps[0].Gap); a != b || len(kept.Instants) != len(now.Instants) {
		t.Errorf("%s is out of date: run with -update", fixtureFile)
	}
}

// scene is an invented picture of the two: a dark hall, a grey piste, figures in
// white.
func scene(width int) image.Image {
	d := draw.New(frameW, frameH, "scene", "")
	d.Ground = draw.Hex(0x2b2f36)
	d.Fill(draw.Box{X: 0, Y: 330, W: frameW, H: frameH}.Path(), draw.Hex(0x6a5c4a))
	at := func(x, y, z float64) draw.Pt {
		p := seen(x, y, z)
		return draw.Pt{X: draw.MM(p.U + 0.5), Y: draw.MM(p.V + 0.5)}
	}
	for i := range 9 {
		d.Fill(draw.Box{X: draw.MM(60 + 140*i), Y: 60, W: 90, H: 120}.Path(), draw.Hex(0x3a4049))
	}
	d.Fill(draw.Polygon(at(-7, -.75, 0), at(-7, .75, 0), at(7, .75, 0), at(7, -.75, 0)), draw.Hex(0x8d939a))
	for _, x := range []float64{-2, 0, 2} {
		d.Stroke(draw.Segment(at(x, -.75, 0), at(x, .75, 0)), draw.Pen{Colour: draw.Hex(0xeeeeee), Width: 5})
	}
	for _, s := range mark.Sides {
		p := func(w mark.What) draw.Pt { return at(bodies[s][w][0], 0, bodies[s][w][1]) }
		white, grey := draw.Hex(0xe9e7e2), draw.Hex(0x1d1d20)
		limb := func(w draw.MM, c draw.Colour, ws ...mark.What) {
			var pts []draw.Pt
			for _, x := range ws {
				pts = append(pts, p(x))
			}
			d.Stroke(draw.Polyline(pts...), draw.Pen{Colour: c, Width: w, Cap: draw.RoundCap})
		}
		limb(34, white, mark.Hip, mark.RearHeel)
		limb(38, white, mark.Hip, mark.FrontKnee, mark.FrontHeel)
		limb(58, white, mark.Shoulder, mark.Hip)
		limb(26, white, mark.Shoulder, mark.Elbow, mark.Guard)
		limb(14, grey, mark.FrontHeel, mark.FrontToe)
		limb(14, grey, mark.RearHeel, mark.RearToe)
		d.Fill(draw.Circle(p(mark.Mask), 30), grey)
		d.Fill(draw.Circle(p(mark.Guard), 14), draw.Hex(0xb9bcc0))
		limb(3, draw.Hex(0xd8dbe0), mark.Guard, mark.Point)
	}
	return d.Raster(width)
}
