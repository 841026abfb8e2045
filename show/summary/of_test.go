package summary

import (
	"encoding/json"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// invented is the reading that the tests of show share.
func invented(t *testing.T) *study.Reading {
	t.Helper()
	b, err := os.ReadFile("../testdata/reading.json")
	if err != nil {
		t.Fatal(err)
	}
	var r study.Reading
	if err := json.Unmarshal(b, &r); err != nil {
		t.Fatal(err)
	}
	return &r
}

// TestSummarySaysWhatTheReportSays: number by number, the text is the one that
// pictures and report print.
func TestSummarySaysWhatTheReportSays(t *testing.T) {
	r := invented(t)
	s := Of(r)
	same := func(what, got, want string) {
		t.Helper()
		if got != want {
			t.Errorf("%s: %q, the report has %q", what, got, want)
		}
	}
	if len(s.Instants) != len(r.Instants) || len(s.Placings) != len(r.Placings) || len(s.Moments) != len(r.Moments) || s.Race == nil {
		t.Fatal("something is left out")
	}
	n := 0
	for i, in := range r.Instants {
		same("instant", s.Instants[i].At.Text, plate.Seconds(in.At))
		for k, g := range in.Gaps {
			got := s.Instants[i].Gaps[k]
			same("gap", got.Gap.Text, plate.Metres(g.Gap))
			same("chance", got.Chance.Text, plate.Chance(g.Chance))
			if got.Of != g.Of || got.Target != g.Target || got.Nearest != g.Nearest || got.Band != g.Band || got.From != g.From || got.To != g.To {
				t.Errorf("gap %+v of %+v", got, g)
			}
			n++
		}
	}
	if n == 0 {
		t.Fatal("no gap was looked at")
	}
	same("both", s.Race.Both.Text, plate.Percent(r.Race.Both))
	same("left", s.Race.LeftOnly.Text, plate.Percent(r.Race.LeftOnly))
	for _, side := range mark.Sides {
		run := s.Race.Runs[side]
		same("arrival", run.Arrival.Text, plate.Milliseconds(r.Race.Runs[side].Arrival))
		same("onset", run.Onset.Text, plate.Milliseconds(r.Race.Runs[side].Onset))
		if run.Of != side {
			t.Errorf("run %d is of %v", side, run.Of)
		}
	}
	for i, p := range r.Placings {
		same("focal length", s.Placings[i].Camera[0].Number.Text, plate.Pixels(p.Focal))
		same("height", s.Placings[i].Camera[1].Number.Text, plate.Metres(p.Position[2]))
	}
}

// TestTheMarginIsOfWhoIsEarlier: a negative margin is the right fencer's, turned
// round with its interval; where nobody arrives there is none.
func TestTheMarginIsOfWhoIsEarlier(t *testing.T) {
	r := invented(t)
	r.Race.Margin = quantity.Of[quantity.Seconds]{Mean: -0.030, SD: 0.010, Lo: -0.055, Hi: -0.012}
	r.Race.BothArrive = quantity.FromCounts(680, 1000)
	got := Of(r).Race
	want := Number{Value: "30", Doubt: "10", Low: "12", High: "55", Unit: "ms", Text: "30\u00a0±\u00a010\u00a0ms"}
	if got.Earlier != mark.Right || got.Margin != want {
		t.Errorf("%v by %+v", got.Earlier, got.Margin)
	}
	if !strings.Contains(got.MarginCounts, "68 of 100") {
		t.Errorf("the margin counts %q", got.MarginCounts)
	}
	r.Race.Margin, r.Race.BothArrive = quantity.Of[quantity.Seconds]{}, quantity.Of[quantity.Chance]{}
	r.Race.Runs[mark.Left].Arrives = 0
	if got := Of(r).Race; got.Margin.Text != "not known" || got.MarginCounts != "" || got.Runs[0].Arrival.Text != "not known" {
		t.Errorf("nobody arrives: %+v, %q, %+v", got.Margin, got.MarginCounts, got.Runs[0].Arrival)
	}
}

// TestParts: what the parts of a number are.
func TestParts(t *testing.T) {
	cases := []struct{ got, want Number }{
		{number(quantity.Of[quantity.Metres]{Mean: -0.4249, SD: 0.061, Lo: -0.543, Hi: -0.301}, plate.InMetres),
			Number{"-0.42", "0.06", "-0.54", "-0.30", "m", "−0.42\u00a0±\u00a00.06\u00a0m"}},
		{number(quantity.Exactly[quantity.Pixels](1.25), plate.InPixels), Number{Value: "1.2", Unit: "px", Text: "1.2\u00a0px"}},
		{number(quantity.Of[quantity.Chance]{Mean: 0.002, SD: 0.001, Hi: 0.004}, plate.InPercent), Number{"< 1", "", "0", "1", "%", "< 1 %"}},
		{chance(0.999), Number{Value: "> 99", Unit: "%", Text: "> 99 %"}},
		{chance(1), Number{Value: "100", Unit: "%", Text: "100 %"}},
		{number(quantity.Of[quantity.Radians]{Mean: quantity.Radians(math.NaN())}, plate.InDegrees), Number{Value: "not known", Text: "not known"}},
		{number(quantity.Normal[quantity.Radians](-0.0001, 0.0035), plate.InDegrees), Number{"0.0", "0.2", "-0.4", "0.4", "°", "0.0\u00a0±\u00a00.2°"}},
	}
	for _, c := range cases {
		c.got.Text = strings.ReplaceAll(c.got.Text, "\u00a0", " ")
		c.got.Value = strings.ReplaceAll(c.got.Value, "\u00a0", " ")
		c.want.Text = strings.ReplaceAll(c.want.Text, "\u00a0", " ")
		if c.got != c.want {
			t.Errorf("%+v, want %+v", c.got, c.want)
		}
	}
}

// TestGrades: a point that the camera names is wrong, however small its share; one
// that is not named goes by its share; and the worst is named where no other is.
func TestGrades(t *testing.T) {
	p := study.PlacedFrame{Residuals: []study.Residual{{Name: "a", Share: 1}, {Name: "b", Share: 2.2}, {Name: "c", Share: 2.6}, {Name: "d", Share: 1.9}}}
	got := placingOf(p)
	for i, want := range []string{gradeFine, gradeLook, gradeWrong, gradeFine} {
		if got.Residuals[i].Grade != want {
			t.Errorf("%s is %s, want %s", got.Residuals[i].Name, got.Residuals[i].Grade, want)
		}
	}
	if got.Disagrees != "c" {
		t.Errorf("%q disagrees", got.Disagrees)
	}
	p.Disagrees = []string{"a"}
	if got := placingOf(p); got.Disagrees != "a" || got.Residuals[0].Grade != gradeWrong {
		t.Errorf("the camera's own word is not taken: %+v", got)
	}
	p.Residuals, p.Disagrees = p.Residuals[:2], nil
	if got := placingOf(p); got.Disagrees != "" {
		t.Errorf("%q disagrees", got.Disagrees)
	}
}

// TestARefusedPlacingSaysWhy, and a need says what it would gain.
func TestARefusedPlacingSaysWhy(t *testing.T) {
	s := Of(&study.Reading{
		Refused: []study.RefusedFrame{{Take: "live", Frame: 7, At: "/placings/0", Text: "too few points"}},
		Needs:   []study.Need{{Step: study.StepPlace, Text: "one more point would halve the error", Now: 0.062, Then: 0.031}, {Step: study.StepMark, Text: "mark"}},
	})
	if len(s.Placings) != 1 || s.Placings[0].Refused != "too few points" || s.Placings[0].Frame != 7 {
		t.Errorf("%+v", s.Placings)
	}
	if got := strings.ReplaceAll(s.Needs[0].Text, "\u00a0", " "); got != "one more point would halve the error (± 6 cm would become ± 3 cm)" || s.Needs[1].Text != "mark" {
		t.Errorf("%q, %q", got, s.Needs[1].Text)
	}
}

// TestListsAreNeverNull: what goes over the wire has lists, empty or not.
func TestListsAreNeverNull(t *testing.T) {
	for name, r := range map[string]*study.Reading{"empty": {}, "whole": invented(t)} {
		b, err := json.Marshal(Of(r))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(b), ":null") {
			t.Errorf("%s: %s", name, b)
		}
	}
}

// TestTheReadingIsNotChanged by printing it.
func TestTheReadingIsNotChanged(t *testing.T) {
	r, same := invented(t), invented(t)
	Of(r)
	if !reflect.DeepEqual(r, same) {
		t.Error("printing changed the reading")
	}
}
