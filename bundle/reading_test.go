package bundle

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

func metres(mean, sd quantity.Metres) quantity.Of[quantity.Metres] { return quantity.Normal(mean, sd) }

func world(x, y, z quantity.Metres) [3]quantity.Of[quantity.Metres] {
	return [3]quantity.Of[quantity.Metres]{metres(x, 0.0213), metres(y, 0.15), metres(z, 0.0187)}
}

// step is a step of a track whose other numbers follow from its place.
func step(f mark.Frame, state string, u, v float64) study.TrackStep {
	px := mark.Pixel{U: u, V: v}
	speed := quantity.Normal[quantity.MetresPerSecond](4.2345, 0.2)
	rate := quantity.Normal[quantity.MetresPerSecondSquared](-3.4, 2.1)
	return study.TrackStep{Frame: f, At: quantity.Seconds(f-100) / 25, State: state, Px: px, SD: 1.5, Sure: 0.9712, Smooth: px,
		X: metres(-0.81234, 0.0213), Z: metres(1.21234, 0.0187), VX: speed, VZ: speed, AX: rate, AZ: rate, Speed: speed}
}

func chance(p, sd quantity.Chance) quantity.Of[quantity.Chance] {
	return quantity.Of[quantity.Chance]{Mean: p, SD: sd, Lo: p - 2*sd, Hi: p + 2*sd}
}

// aReading has a value in every field; the numbers are invented.
func aReading() *study.Reading {
	peak, bias := quantity.Normal[quantity.MetresPerSecond](4.51234, 0.1234), quantity.Normal[quantity.MetresPerSecond](0.0412, 0.0123)
	k1 := quantity.Normal[quantity.Ratio](-0.0812345, 0.0123)
	arm := metres(0.2345678, 0.0312)
	warn := study.Warning{Code: "rms-above-noise", About: "live 120", Doubt: 2.345678912, Text: "The residuals are 2.3 times the marking noise: ask for distortion."}
	run := study.Run{
		Action: "lunge", ParametersFrom: "default of the level club", Target: mark.Forearm,
		Gap: metres(1.234567, 0.0345), Onset: quantity.Uniform[quantity.Seconds](-0.02, 0.02),
		OnsetText: "at the moment launch", Arrival: quantity.Normal[quantity.Seconds](0.312345, 0.0234),
		Arrives: 0.98765, Travel: []quantity.Metres{0, 0.012345, 0.05}, Closing: []quantity.Metres{0, 0.001, 0.002},
	}
	still := run
	still.Action, still.Arrives, still.Arrival = "extension", 0, quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(math.NaN())}
	nearing := quantity.Normal[quantity.MetresPerSecond](2.3456, 0.1234)
	return &study.Reading{
		Touch:  &study.Touch{Title: "Touch 8", Invented: true, Bout: bout.Bout{Left: bout.Fencer{Name: "L. Arden"}}},
		Inputs: strings.Repeat("0f", 32), Version: "1", Seed: math.MaxUint64, Draws: 20000,
		Clips: map[string]mark.Clip{
			"side": {Width: 640, Height: 360, Times: nil, BitDepth: 8},
			"main": {Width: 1280, Height: 720, Times: []mark.FileTime{0.04, 0.08}, BitDepth: 8, Codec: "h264", Container: "mov,mp4"},
		},
		Placings: []study.PlacedFrame{{
			Take: "live", Frame: 120, Focal: quantity.Normal[quantity.Pixels](1523.4567, 18.2), Position: world(0.1, -8.2, 1.6),
			Roll: quantity.Normal[quantity.Radians](-0.00001, 0.002), K1: &k1, RMS: 1.23456,
			Residuals: []study.Residual{{Name: "centre-near", At: mark.Pixel{U: 631, V: 540}, Fitted: mark.Pixel{U: 631.234, V: 539.876}, Off: 0.26499, Share: 0.17666}},
			Warnings:  []study.Warning{warn},
		}},
		Moments: []study.MomentReading{{
			Moment: mark.Moment{ID: "launch", Name: "the left fencer launches", Take: "live", After: 119, By: 120, Also: []mark.Bracket{{Take: "slow", After: 96, By: 97}}},
			At:     quantity.Uniform[quantity.Seconds](0.76, 0.8),
		}},
		Clocks: []study.ClockReading{
			{Take: "live", From: study.ClockDeclared, Factor: quantity.Exactly[quantity.Ratio](1), Offset: quantity.Exactly[quantity.Seconds](0)},
			{Take: "slow", From: study.ClockTied, Factor: quantity.Normal[quantity.Ratio](4.01234, 0.0123), Offset: quantity.Normal[quantity.Seconds](0.12345, 0.0034),
				Correlation: 0.87654, Moments: []string{"launch", "answer"}},
		},
		Orders: []study.Order{{First: "launch", Second: "answer", Chance: 0.98765, Apart: quantity.Normal[quantity.Seconds](0.0612, 0.0082)}},
		Tracks: []study.Track{{
			Take: "live", Who: mark.Left, What: mark.Guard, Peak: &peak, PeakAt: 0.79123, PeakBias: &bias, Outliers: []mark.Frame{121},
			Steps: []study.TrackStep{
				step(119, study.StateMarked, 430, 402),
				step(120, study.StateFollowed, 436.256, 401.5),
				{Frame: 121, At: 0.84, State: study.StateLost, Smooth: mark.Pixel{U: 442.5, V: 401}},
			},
		}},
		Proposals: []study.Proposal{{ID: "live-left-hand-starts-1", Name: "the left hand starts", Who: mark.Left, Part: "hand", Kind: study.OnsetStarts,
			Take: "live", After: 117, By: 119, At: quantity.Uniform[quantity.Seconds](0.68, 0.76), Sure: 0.923}},
		NextMarks: []study.NextMark{{Take: "live", Frame: 121, Who: mark.Left, What: mark.Guard, Now: 0.0812, Then: 0.0214}},
		Drifts:    []study.Drift{{Take: "live", Frame: 150, Px: 1.2345, Metres: 0.01234, Share: 1.1}},
		Instants: []study.Instant{{
			Take: "live", Frame: 120, Moment: "launch", At: quantity.Uniform[quantity.Seconds](0.76, 0.8),
			Bodies: [2]study.Body{
				{ArmLeft: &arm, Points: []study.PointPlace{{What: mark.Point, At: mark.Pixel{U: 590.5, V: 391.256}, SD: 2.5, Place: world(-0.2, 0, 1.31)}}},
				{Points: []study.PointPlace{{What: mark.Guard, At: mark.Pixel{U: 801, V: 399}, SD: 1.5, Place: world(1.03, 0, 1.27)}}},
			},
			Gaps: []study.Gap{{
				Of: mark.Left, Target: mark.Hand, Gap: metres(1.234567, 0.0345), Band: "medium", Chance: 0.91234,
				From: mark.Pixel{U: 590.5, V: 391.256}, To: mark.Pixel{U: 801, V: 399}, Nearest: true, Closing: &nearing,
			}},
			Closing: &nearing,
		}},
		Race: &study.Race{
			Moment: "launch", Take: "live", Frame: 120, Weapon: bout.Epee, Window: quantity.Normal[quantity.Seconds](0.045, 0.0025),
			Runs:     [2]study.Run{run, run},
			LeftOnly: chance(0.61725, 0.0034), RightOnly: chance(0.10005, 0.0021), Both: chance(0.25265, 0.003), Neither: chance(0.03005, 0.0012),
			LeftFirst: chance(0.7812, 0.0029), Margin: quantity.Normal[quantity.Seconds](0.038412, 0.0214),
			Matters: []study.Matter{{Name: "onset of the right fencer", Share: 0.5312, Mend: "Mark the first frame on which the right hand moves."}},
			Finding: "The left point arrives first in 78 of 100 draws.",
		},
		Warnings: []study.Warning{warn, {Code: "no-bound", About: "live", Doubt: math.Inf(1), Text: "No bound is known."}},
	}
}

func written(t *testing.T, r *study.Reading) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteReading(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The example of the page is the golden file of the export.
func TestReadingIsTheExampleOfThePage(t *testing.T) {
	page := read(t, formats+"reading.md")
	golden(t, formats+"reading.md", between(t, page, "example", "\n```json\n"+string(written(t, shortened(wholeTactics(t, wholeTiming(t, aReading())))))+"```\n\n"))
}

func TestReadingIsDeterministic(t *testing.T) {
	first := written(t, aReading())
	for range 50 {
		if !bytes.Equal(first, written(t, aReading())) {
			t.Fatal("equal readings gave different bytes")
		}
	}
}

// A long list of numbers fills its lines instead of taking one for each.
func TestLongListsFillTheirLines(t *testing.T) {
	r := aReading()
	for range 100 {
		r.Race.Runs[0].Travel = append(r.Race.Runs[0].Travel, 0.1234)
	}
	data := written(t, r)
	if lines := bytes.Count(data, []byte("0.1234")); lines != 100 {
		t.Errorf("%d of 100 numbers are there", lines)
	}
	for _, line := range strings.Split(string(data), "\n") {
		if len(line) > lineWidth && strings.Count(line, "0.1234") > 0 {
			t.Errorf("a line of %d letters: %s", len(line), line)
		}
		if strings.TrimSpace(line) == "0.1234," {
			t.Fatal("one number a line")
		}
	}
	if err := validate(compiled(t, "reading"), data); err != nil {
		t.Error(err)
	}
}

// What other programs rely on, read as they would read it.
func TestReadingForOtherPrograms(t *testing.T) {
	var got struct {
		Race *struct {
			Left, Right, Both, Neither float64
			Margin                     *float64    `json:"margin_ms"`
			SD                         *float64    `json:"margin_sd_ms"`
			Interval                   *[2]float64 `json:"margin_ms_interval"`
		}
		Gaps []struct {
			Of, To, Target string
			Mean           float64 `json:"mean_m"`
			SD             float64 `json:"sd_m"`
		}
		Seed uint64
	}
	if err := json.Unmarshal(written(t, aReading()), &got); err != nil {
		t.Fatal(err)
	}
	r := got.Race
	// 0.61725, 0.10005, 0.25265 and 0.03005 all end in half a place: plain
	// rounding would sum to 1.0002.
	if sum := math.Round((r.Left+r.Right+r.Both+r.Neither)*1e4) / 1e4; sum != 1 {
		t.Errorf("the chances sum to %v", sum)
	}
	if *r.Margin != 38 || *r.SD != 21 || *r.Interval != [2]float64{-4, 80} {
		t.Errorf("the margin is %v ± %v in %v", *r.Margin, *r.SD, *r.Interval)
	}
	g := got.Gaps[0]
	if g.Of != "left" || g.To != "right" || g.Target != "hand" || g.Mean != 1.235 || g.SD != 0.035 {
		t.Errorf("the gap is %+v", g)
	}
	if got.Seed != math.MaxUint64 {
		t.Errorf("the seed is %d", got.Seed)
	}
}

// Every shape that a reading can have is one that the schema allows.
func TestReadingsWithoutAnswersAreValid(t *testing.T) {
	schema := compiled(t, "reading")
	noRace := aReading()
	noRace.Race = nil
	noArrival := aReading()
	noArrival.Race.Runs[1].Arrives = 0
	noArrival.Race.Runs[1].Arrival.Mean = quantity.Seconds(math.NaN())
	noArrival.Race.Margin.Mean = quantity.Seconds(math.NaN())
	noArrival.Race.LeftFirst.Mean = quantity.Chance(math.NaN())
	cases := map[string]*study.Reading{"full": aReading(), "empty": {}, "no race": noRace, "no arrival": noArrival}
	for _, name := range []string{"full", "empty", "no race", "no arrival"} {
		if err := validate(schema, written(t, cases[name])); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if out := string(written(t, noArrival)); !strings.Contains(out, `"margin_ms": null`) || !strings.Contains(out, `"arrival_ms": null`) {
		t.Error("a race without arrivals states a margin")
	}
	if out := string(written(t, noRace)); !strings.Contains(out, "\n  \"race\": null,\n") {
		t.Error("a missing race is not null")
	}
}

func TestReadingRefusesWhatIsNotFinite(t *testing.T) {
	r := aReading()
	r.Instants[0].Gaps[0].Gap.Mean = quantity.Metres(math.NaN())
	var b bytes.Buffer
	err := WriteReading(&b, r)
	if err == nil || !strings.HasPrefix(err.Error(), "the reading: /gaps/0/mean_m: ") || b.Len() != 0 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

func TestRounding(t *testing.T) {
	cases := []struct{ mean, sd, wantMean, wantSD float64 }{
		{1.234567, 0.0345, 1.235, 0.035},
		{1.234567, 0.000012345, 1.234567, 0.000012},
		{1.23456789, 0.00000012345, 1.234568, 0}, // never more than six places
		{1523.4567, 18.2, 1523, 18},
		{1523.4567, 182, 1523, 182}, // never fewer than none
		{-0.00001, 0.002, 0, 0.002},
		{0.1234567, 0, 0.123457, 0},
		{0.1, 0.0999, 0.1, 0.1},
	}
	for _, c := range cases {
		got := roundOf(quantity.Normal(quantity.Metres(c.mean), quantity.Metres(c.sd)), 1)
		if got.mean != c.wantMean || got.sd != c.wantSD || math.Signbit(got.mean) != (c.wantMean < 0) {
			t.Errorf("%v ± %v rounds to %v ± %v, want %v ± %v", c.mean, c.sd, got.mean, got.sd, c.wantMean, c.wantSD)
		}
	}
}
