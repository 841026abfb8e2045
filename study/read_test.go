package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

func mustRead(t *testing.T, touch *Touch, o ReadOptions) *Reading {
	t.Helper()
	r, err := Read(context.Background(), touch, reel{100}, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestGapsAgainstAnotherCamera measures gaps through pictures that a camera
// written by hand in this test has made, and holds error and coverage against
// the places it was given: a second route to every formula of the placing.
func TestGapsAgainstAnotherCamera(t *testing.T) {
	var off []float64
	covered, n := 0, 0
	for seed := range uint64(24) {
		s := stage(seed+1, 1.5)
		r := mustRead(t, s.touch, ReadOptions{Draws: 100})
		if len(r.Instants) != 5 {
			t.Fatalf("%d instants, want 5; warnings %v", len(r.Instants), r.Warnings)
		}
		for i, in := range r.Instants {
			if len(in.Gaps) != 2*len(mark.Targets()) {
				t.Fatalf("%d gaps, want %d", len(in.Gaps), 2*len(mark.Targets()))
			}
			for _, g := range in.Gaps {
				truth := s.gap(i, g.Of, g.Target)
				off = append(off, math.Abs(float64(g.Gap.Mean)-truth))
				n++
				if float64(g.Gap.Lo) <= truth && truth <= float64(g.Gap.Hi) {
					covered++
				}
			}
		}
	}
	slices.Sort(off)
	median, p95, coverage := off[n/2], off[n*95/100], float64(covered)/float64(n)
	t.Logf("%d gaps: median %.3f m, 95th percentile %.3f m, coverage %.3f", n, median, p95, coverage)
	if n < 500 {
		t.Fatalf("only %d gaps", n)
	}
	if median > 0.03 || p95 > 0.10 {
		t.Errorf("median error %.3f m, 95th percentile %.3f m; want at most 0.03 and 0.10", median, p95)
	}
	if coverage < 0.92 || coverage > 0.98 {
		t.Errorf("coverage %.3f of 95 %% intervals, want 0.92 to 0.98", coverage)
	}
}

// TestEqualInputsReadAlike holds that a reading follows from touch and seed.
func TestEqualInputsReadAlike(t *testing.T) {
	a := mustRead(t, stage(3, 1.5).touch, ReadOptions{Draws: 2000, Seed: 7})
	b := mustRead(t, stage(3, 1.5).touch, ReadOptions{Draws: 2000, Seed: 7})
	if !reflect.DeepEqual(a, b) {
		t.Error("two readings of equal inputs differ")
	}
	c := mustRead(t, stage(3, 1.5).touch, ReadOptions{Draws: 2000, Seed: 8})
	if a.Inputs == c.Inputs || a.Race.Margin == c.Race.Margin {
		t.Error("another seed gave the same draws or the same name of the inputs")
	}
}

// TestKnownContentIsTheSameInputAnywhere: a video named by its content gives the
// same name to the inputs wherever its file lies; without it the path counts.
func TestKnownContentIsTheSameInputAnywhere(t *testing.T) {
	here, there := stage(3, 1.5).touch, stage(3, 1.5).touch
	there.Videos[0].File = "elsewhere/v.mp4"
	if inputsHash(here, ReadOptions{}) == inputsHash(there, ReadOptions{}) {
		t.Error("another file counts as the same input")
	}
	here.Videos[0].SHA256, there.Videos[0].SHA256 = "ab", "ab"
	if inputsHash(here, ReadOptions{}) != inputsHash(there, ReadOptions{}) {
		t.Error("the same content counts as another input")
	}
}

// TestReadKeepsItsInput holds that the touch is not changed.
func TestReadKeepsItsInput(t *testing.T) {
	touch, same := stage(4, 1.5).touch, stage(4, 1.5).touch
	mustRead(t, touch, ReadOptions{Draws: 100})
	if !reflect.DeepEqual(touch, same) {
		t.Error("Read changed the touch")
	}
}

// TestRaceOfAReading holds what must be true of any race.
func TestRaceOfAReading(t *testing.T) {
	r := mustRead(t, stage(5, 1.5).touch, ReadOptions{Draws: 20000})
	if r.Race == nil {
		t.Fatalf("no race: %v", r.Warnings)
	}
	sum := r.Race.LeftOnly.Mean + r.Race.RightOnly.Mean + r.Race.Both.Mean + r.Race.Neither.Mean
	if math.Abs(float64(sum)-1) > 1e-9 {
		t.Errorf("the four outcomes sum to %v", sum)
	}
	if r.Race.Finding == "" || len(r.Race.Matters) == 0 || r.Race.Matters[0].Mend == "" {
		t.Errorf("the race does not say what matters: %+v", r.Race.Matters)
	}
	for _, s := range mark.Sides {
		if len(r.Race.Runs[s].Travel) == 0 || !r.Race.Runs[s].Gap.IsValid() {
			t.Errorf("%v: nothing to draw", s)
		}
	}
}

// TestReplayRunsOnTheBoutsClock holds the clock of a slow replay: at a factor of
// 4, frames 20 ms apart in the file are 5 ms apart in the bout.
func TestReplayRunsOnTheBoutsClock(t *testing.T) {
	touch := stage(6, 1.5).touch
	touch.Takes[0].Factor, touch.Takes[0].Offset, touch.Takes[0].FactorSD = 4, 2, 0.1
	r := mustRead(t, touch, ReadOptions{Draws: 100})
	m := r.Moments[0] // between frames 9 and 10: file 0.18 to 0.20 s
	if want := 2 + 0.19/4; math.Abs(float64(m.At.Mean)-want) > 1e-9 {
		t.Errorf("moment at %v, want %v", m.At.Mean, want)
	}
	// uniform over 5 ms, and 0.20/16·0.1 s from the factor
	if want := math.Hypot(0.005/math.Sqrt(12), 0.2/16*0.1); math.Abs(float64(m.At.SD)-want) > 1e-9 {
		t.Errorf("SD %v, want %v", m.At.SD, want)
	}
}

// TestSteadyCameraServesItsTake: one placed frame serves a camera that stood
// still, and without that word the other frames are left out, loudly.
func TestSteadyCameraServesItsTake(t *testing.T) {
	touch := stage(7, 1.5).touch
	touch.Placings = touch.Placings[:1]
	r := mustRead(t, touch, ReadOptions{Draws: 100})
	if len(r.Instants) != 1 || !hasWarning(r, "frame-not-placed") {
		t.Errorf("%d instants and warnings %v: want 1 and a warning for the frames that are not placed", len(r.Instants), r.Warnings)
	}
	touch.Takes[0].Steady = true
	if r = mustRead(t, touch, ReadOptions{Draws: 100}); len(r.Instants) != 5 {
		t.Errorf("%d instants of a steady camera, want 5", len(r.Instants))
	}
}

func hasWarning(r *Reading, code string) bool {
	return slices.ContainsFunc(r.Warnings, func(w Warning) bool { return w.Code == code })
}

// TestRefusalsSayWhereAndWhat breaks one input at a time.
func TestRefusalsSayWhereAndWhat(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(*Touch)
		want  []string
	}{
		{"frame beyond the end", func(t *Touch) { t.Marks[3].Frame = 400 }, []string{"/marks/3/frame", "frame 400", "0 to 99"}},
		{"take beyond the end", func(t *Touch) { t.Takes[0].To = 100 }, []string{"/takes/0/to", "beyond the end"}},
		{"placing on no take", func(t *Touch) { t.Placings[1].Take = "other" }, []string{"/placings/1/take", `"other"`}},
		{"moment backwards", func(t *Touch) { t.Moments[2].After = t.Moments[2].By }, []string{"/moments/2", "before"}},
		{"too few points", func(t *Touch) { t.Placings[2].Points = t.Placings[2].Points[:1] }, []string{"/placings/2"}},
		{"a mark that is no number", func(t *Touch) { t.Marks[0].At.U = math.NaN() }, []string{"/marks/0", "finite"}},
		{"unknown action", func(t *Touch) { t.Race.Left.Action = "leap" }, []string{"/race/left/action", "leap"}},
		{"unknown target", func(t *Touch) { t.Race.Right.Target = "ear" }, []string{"/race/right/target", "ear"}},
		{"unknown moment", func(t *Touch) { t.Race.From = "mX" }, []string{"/race/from", "mX"}},
		{"no such video", func(t *Touch) { t.Takes[0].Video = "w" }, []string{"/takes/0/video", `"w"`}},
	}
	for _, c := range cases {
		touch := stage(8, 1.5).touch
		c.spoil(touch)
		_, err := Read(context.Background(), touch, reel{100}, ReadOptions{Draws: 100})
		var refusal *Refusal
		if !errors.As(err, &refusal) {
			t.Errorf("%s: %v is not a refusal", c.name, err)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", c.name, err, w)
			}
		}
		if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: more than one line", c.name)
		}
	}
}

// TestHalfAskedRaceIsNoRefusal: while a coach still chooses, the rest of the
// touch is read and the reading says what the race lacks.
func TestHalfAskedRaceIsNoRefusal(t *testing.T) {
	for name, c := range map[string]struct {
		ask  func(*RaceAsk)
		want string
	}{
		"both react":               {func(a *RaceAsk) { a.Left.Onset = OnsetAsk{Kind: OnsetReaction} }, "each fencer reacts to the other"},
		"observed, moment to come": {func(a *RaceAsk) { a.Left.Onset = OnsetAsk{Kind: OnsetObserved} }, "the left fencer starts as seen, and no moment says when"},
	} {
		touch := stage(8, 1.5).touch
		c.ask(&touch.Race)
		r := mustRead(t, touch, ReadOptions{Draws: 100})
		if r.Race != nil || len(r.Instants) == 0 || !slices.ContainsFunc(r.Warnings, func(w Warning) bool {
			return w.Code == "no-race" && strings.Contains(w.Text, c.want)
		}) {
			t.Errorf("%s: race %v, %d instants, warnings %v", name, r.Race != nil, len(r.Instants), r.Warnings)
		}
	}
}

// TestMarkOffTheImageIsDoubted: far outside is said, with how far; a hair outside,
// within the marking error, is not.
func TestMarkOffTheImageIsDoubted(t *testing.T) {
	touch := stage(9, 1.5).touch
	if r := mustRead(t, touch, ReadOptions{Draws: 100}); hasWarning(r, CodeOffImage) {
		t.Fatalf("marks on the picture are doubted: %v", r.Warnings)
	}
	touch.Marks[1].At.U = -2
	if r := mustRead(t, touch, ReadOptions{Draws: 100}); hasWarning(r, CodeOffImage) {
		t.Errorf("2 px outside at an error of 1.5 is doubted")
	}
	touch.Marks[1].At = mark.Pixel{U: 300, V: 900}
	r := mustRead(t, touch, ReadOptions{Draws: 100})
	i := slices.IndexFunc(r.Warnings, func(w Warning) bool { return w.Code == CodeOffImage })
	if i < 0 {
		t.Fatal("a mark below the picture is not doubted")
	}
	if w := r.Warnings[i]; math.Abs(w.Doubt-(900-719)) > 1e-9 || !strings.Contains(w.About, string(touch.Marks[1].What)) {
		t.Errorf("%+v", w)
	}
}

// TestFindingDoesNotClaimTheUnlikelyAway: a fencer who seldom arrives is said to
// seldom arrive.
func TestFindingDoesNotClaimTheUnlikelyAway(t *testing.T) {
	r := &Race{Runs: [2]Run{{Action: "lunge", Target: mark.Chest, Arrives: 0.18}, {Action: "extension", Target: mark.Hand, Arrives: 1}}}
	if got := findingOf(r); !strings.Contains(got, "18 of 100") {
		t.Errorf("%q", got)
	}
	r.Runs[0].Arrives = 0
	if got := findingOf(r); !strings.Contains(got, "does not reach") {
		t.Errorf("%q", got)
	}
}

// TestNoRaceIsSaid: marks that allow no race leave a reading without one.
func TestNoRaceIsSaid(t *testing.T) {
	touch := stage(9, 1.5).touch
	touch.Marks = slices.DeleteFunc(touch.Marks, func(m mark.Mark) bool { return m.What == mark.Point && m.Who == mark.Left })
	r := mustRead(t, touch, ReadOptions{Draws: 100})
	if r.Race != nil || !hasWarning(r, "no-race") {
		t.Errorf("race %v, warnings %v", r.Race, r.Warnings)
	}
}

// TestEveryNumberOfAReadingHasItsDoubt walks the reading by reflection: a float64
// with a unit must stand in a quantity. What is allowed to be bare is listed with
// the reason.
func TestEveryNumberOfAReadingHasItsDoubt(t *testing.T) {
	bare := map[string]string{
		"study.Warning.Doubt":            "is itself a measure of doubt",
		"study.PlacedFrame.RMS":          "a statistic of the fit, in pixels",
		"study.Residual.Off":             "a residual, in pixels",
		"study.Residual.Share":           "the same over its expectation",
		"study.PointPlace.SD":            "is itself an SD",
		"study.Gap.Chance":               "a chance",
		"study.Run.Arrives":              "a chance",
		"study.Matter.Share":             "a share of variance",
		"study.Need.Now":                 "is itself an SD",
		"study.Need.Then":                "is itself an SD",
		"study.ClockReading.Correlation": "part of a covariance",
		"study.Order.Chance":             "a chance",
		"study.TrackStep.At":             "the clock's doubt stands in Clocks",
		"study.TrackStep.SD":             "is itself an SD",
		"study.TrackStep.Sure":           "a chance",
		"study.Track.PeakAt":             "where the peak of the smoothed speed lies",
		"study.Drift.Px":                 "a statistic of the following, in pixels",
		"study.Drift.Metres":             "the same on the floor",
		"study.Drift.Share":              "the same over its expectation",
		"study.Proposal.Sure":            "a chance",
		"study.NextMark.Now":             "is itself an SD",
		"study.NextMark.Then":            "is itself an SD",
		"study.FollowedFrame.Floor":      "is itself an SD",
		"study.Run.Travel[]":             "a curve at the mean of every input, to draw",
		"study.Run.Closing[]":            "the same",
		"study.Windows.Travel[]":         "the same",
		"study.Launch.Chance":            "a chance",
		"study.Change.Closer":            "a question, not an answer",
		"study.Change.Earlier":           "the same",
		"study.Change.Longer":            "the same",
		"study.Note.Weight":              "an order of notes",
		"study.FitPoint.At":              "a datum or a curve, to draw",
		"study.FitPoint.Travel":          "the same",
		"study.FitPoint.SD":              "is itself an SD",
		"study.Fit.RMS":                  "a statistic of the fit",
		"study.Fit.SeenArm":              "the same",
		"study.Fit.SeenBody":             "the same",
		"study.Fit.Unlike":               "the same",
		"study.Fit.Widened":              "the same",
		"study.BoutRates.Prior":          "an assumption, in counts",
		"study.BoutRates.LeftBetter":     "a chance",
		"study.BoutStand.Left":           "as the apparatus shows it",
		"study.BoutReading.HeaviestSure": "a chance",
		"study.BoutOrder.Expected":       "a mean over all orders, exact",
		"study.BoutOrder.SoMany":         "a chance",
		"study.BoutOrder.SoFew":          "the same",
		"study.BoutClock.Total":          "a rule",
		"study.BoutClock.Left":           "as the apparatus shows it",
		"study.BoutClock.Over":           "the same",
		"study.BoutClock.PriorHits":      "an assumption, in touches",
		"study.BoutClock.PriorOver":      "the same, in time",
		"study.HabitChoice.Prior":        "an assumption, in counts",
		"study.Habit.Weight":             "a sum of weights",
		"study.PayoffCell.Sure":          "what the model weighs, in phrases",
		"study.BalanceCourse.Shares[]":   "where a curve is drawn",
	}
	seen := 0
	var walk func(reflect.Type, string)
	done := map[reflect.Type]bool{}
	walk = func(typ reflect.Type, path string) {
		if strings.HasPrefix(typ.String(), "quantity.Of[") || typ.PkgPath() != "" && typ.PkgPath() != "mesure/study" && typ.PkgPath() != "mesure/quantity" {
			return
		}
		switch typ.Kind() {
		case reflect.Pointer, reflect.Map:
			walk(typ.Elem(), path)
		case reflect.Slice, reflect.Array:
			walk(typ.Elem(), path+"[]")
		case reflect.Float64:
			seen++
			if _, ok := bare[path]; !ok {
				t.Errorf("%s is a number without its uncertainty", path)
			}
		case reflect.Struct:
			if done[typ] || typ == reflect.TypeFor[Touch]() {
				return
			}
			done[typ] = true
			for i := range typ.NumField() {
				f := typ.Field(i)
				if !f.IsExported() { // how it was computed, not what it says
					continue
				}
				walk(f.Type, fmt.Sprintf("%v.%s", typ, f.Name))
			}
		}
	}
	walk(reflect.TypeFor[Reading](), "")
	if seen != len(bare) {
		t.Errorf("%d bare numbers found, %d listed: take out what is gone", seen, len(bare))
	}
}

// TestArmAlreadyOutIsInShortMeasure: measure is counted from the guard, so a
// point close to its target is in short measure however straight the arm is,
// while the race knows that this arm has nothing left to give.
func TestArmAlreadyOutIsInShortMeasure(t *testing.T) {
	out := quantity.Normal(quantity.Metres(0.02), 0.03)
	f := bout.Fencer{Stature: 1.8}
	band, _ := reachOf(statedProfile(mark.Left, f), f, &out).Band(quantity.Normal(quantity.Metres(0.2), 0.05))
	if band != timing.Short {
		t.Errorf("a gap of 20 cm is %s measure with the arm out, want short", band)
	}
	m, err := statedProfile(mark.Left, f).movement(timing.Extension, f, &out)
	if err != nil || m.Reach().Mean > 0.05 {
		t.Errorf("an arm that is out reaches %v more, %v", m.Reach().Mean, err)
	}
}

// TestOwnReachComesBeforeStature: 1.655 m from shoulder to point is what a
// stature of 1.80 m gives (figures of the trade, .386 of stature and the weapon).
func TestOwnReachComesBeforeStature(t *testing.T) {
	by, own := armOf(bout.Fencer{Stature: 1.80}), armOf(bout.Fencer{Stature: 1.60, Reach: 1.655})
	if math.Abs(float64(by.Mean-own.Mean)) > 0.001 {
		t.Errorf("arm %v by stature, %v by reach", by.Mean, own.Mean)
	}
	if own.SD >= by.SD {
		t.Errorf("a stated reach leaves ± %v, no better than ± %v by stature", own.SD, by.SD)
	}
}
