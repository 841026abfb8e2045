package study

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// noteOf is the note of a kind about a fencer.
func noteOf(all []Note, kind string, who mark.Side) *Note {
	for i := range all {
		if all[i].Kind == kind && all[i].Who == who {
			return &all[i]
		}
	}
	return nil
}

// holds reports whether a text has these words; the no-break spaces of numbers count as
// spaces.
func holds(text, words string) bool {
	return strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), words)
}

// lungeAt is the timing of a filmed lunge at a frame.
func lungeAt(t *testing.T, d [2]dancer, f mark.Frame, moments ...mark.Moment) (*Reading, *Timing) {
	t.Helper()
	r := filmed(t, d, moments...)
	r.Touch.Attacker = "left"
	x, err := r.TimingAt(TimingAsk{At: At{"live", f}})
	if err != nil {
		t.Fatal(err)
	}
	return r, x
}

// number is a value with its ± and unit, or a chance in words.
var number = regexp.MustCompile(`\d\x{a0}|\d°|of 100`)

// checkNotes holds every note to what notes promise.
func checkNotes(t *testing.T, r *Reading, x *Timing) {
	t.Helper()
	seen := map[string]bool{}
	for i, n := range x.Notes {
		if seen[n.ID] || n.ID == "" || n.Kind == "" || !strings.HasPrefix(n.ID, n.Kind+"-"+n.Who.String()+"-"+n.At.Take+"-") {
			t.Errorf("ID %q of %s", n.ID, n.Kind)
		}
		seen[n.ID] = true
		if !(n.Weight >= 0 && n.Weight <= 1) || i > 0 && n.Weight > x.Notes[i-1].Weight {
			t.Errorf("%s weighs %v", n.ID, n.Weight)
		}
		if n.Text == "" || n.Reference == "" || n.At.Take == "" {
			t.Errorf("%+v is not whole", n)
		}
		if !number.MatchString(n.Text) && !holds(n.Text, "not seen") {
			t.Errorf("a note without a measure: %s", n.Text)
		}
		if _, ok := r.When(n.At.Take, n.At.Frame); !ok {
			t.Errorf("%s links to no frame: %+v", n.ID, n.At)
		}
	}
	again := readNotes(r.Touch, r, x)
	if !slices.Equal(again, x.Notes) {
		t.Error("equal inputs give other notes")
	}
}

// T6 (common practice, no source): a foot that leads by more than 40 ms is noted, a hand
// that leads is no fault.
func TestNoteHandAndFoot(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	d := [2]dancer{lunger(), stepper(.34, .24)}
	r, x := lungeAt(t, d, 40)
	checkNotes(t, r, x)
	if n := noteOf(x.Notes, NoteHandBeforeFoot, mark.Left); n == nil || !holds(n.Text, "before the front foot lifted") {
		t.Errorf("%+v", n)
	}
	if n := noteOf(x.Notes, NoteFootBeforeHand, mark.Left); n != nil {
		t.Errorf("%+v", n)
	}
	d[0].hand[0].start = .66 // 100 ms after the foot
	r, x = lungeAt(t, d, 45)
	checkNotes(t, r, x)
	n := noteOf(x.Notes, NoteFootBeforeHand, mark.Left)
	if n == nil || !holds(n.Text, "front foot lifted") {
		t.Fatalf("%+v of %+v", n, x.Started)
	}
	if got := regexp.MustCompile(`(\d+)\x{a0}±`).FindStringSubmatch(n.Text); got == nil || math.Abs(parse(t, got[1])-100) > 40 || strings.Contains(n.Text, "−") {
		t.Errorf("the foot leads by 100 ms: %s", n.Text)
	}
	if noteOf(x.Notes, NoteHandBeforeFoot, mark.Left) != nil {
		t.Error("hand and foot both go first")
	}
	// It links to the frame on which the foot is off the floor.
	if at := float64(n.At.Frame) / 50; at < .54 || at > .64 {
		t.Errorf("links to %.2f s, the foot lifts at 0.56", at)
	}
	// Dismissed is flagged, not dropped, and takes nothing else along.
	count := len(x.Notes)
	r.Touch.Dismissed = []string{n.ID, "of-another-touch"}
	flagged := 0
	for _, m := range readNotes(r.Touch, r, x) {
		if m.Dismissed {
			flagged++
			if m.ID != n.ID {
				t.Errorf("%s is dismissed", m.ID)
			}
		}
		count--
	}
	if flagged != 1 || count != 0 {
		t.Errorf("%d dismissed, %d missing", flagged, count)
	}
}

// Notes of a lunge against its truth: how far the foot went, how fast hand and hip.
func TestNotesOfMovement(t *testing.T) {
	d := [2]dancer{lunger(), stepper(.34, .24)}
	hit := mark.Moment{ID: "hit", Name: "hit", Take: "live", After: 48, By: 49}
	r, x := lungeAt(t, d, 40, hit)
	checkNotes(t, r, x)
	value := func(kind string) float64 {
		n := noteOf(x.Notes, kind, mark.Left)
		if n == nil {
			t.Errorf("no note %s", kind)
			return math.NaN()
		}
		got := regexp.MustCompile(`(\d+\.?\d*)\x{a0}±\x{a0}(\d+\.?\d*)`).FindStringSubmatch(n.Text)
		if got == nil {
			t.Errorf("no number in %q", n.Text)
			return math.NaN()
		}
		return parse(t, got[1])
	}
	top := func(parts ...[]stride) float64 {
		best := 0.0
		for i := range 160 {
			v := 0.0
			for _, p := range parts {
				v += speedOf(p, float64(i)/100)
			}
			best = max(best, v)
		}
		return best
	}
	if v, truth := value(NoteLunge), 1.0; math.Abs(v-truth) > .08 {
		t.Errorf("the front foot went %.2f m, truly %.2f", v, truth)
	}
	if v, truth := value(NoteBodySpeed), top(d[0].hip); math.Abs(v-truth) > .15 {
		t.Errorf("the hip came to %.2f m/s, truly %.2f", v, truth)
	}
	if v, truth := value(NoteSpeed), top(d[0].hip, d[0].hand); math.Abs(v-truth) > .4 {
		t.Errorf("the hand came to %.2f m/s, truly %.2f", v, truth)
	}
	// What the smoothing adds to a peak is taken off.
	k := r.trackOf("live", mark.Left, mark.Hip)
	bias := quantity.Normal(quantity.MetresPerSecond(.5), .01)
	was, peak := k.PeakBias, quantity.Normal(quantity.MetresPerSecond(2.5), .02)
	k.PeakBias, k.Peak = &bias, &peak
	if n := noteOf(readNotes(r.Touch, r, x), NoteBodySpeed, mark.Left); n == nil || !holds(n.Text, "2.00 ± 0.02 m/s") {
		t.Errorf("%+v", n)
	}
	k.PeakBias = was
	// T27 (trade literature): near the greatest stated length it is said so; well
	// within it is not.
	for own, near := range map[float64]bool{1.02: true, 1.5: false} {
		r.Touch.Bout.Left.Lunge = own
		n := noteOf(readNotes(r.Touch, r, x), NoteLunge, mark.Left)
		if n == nil || holds(n.Text, "less sure") != near {
			t.Errorf("of %.2f m: %+v", own, n)
		}
	}
}

// T7 and T24 (common practice, no source): no way back with the front foot in the air;
// little piste behind the rear foot is noted and much is not.
func TestNotesOfTheFeet(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	d := [2]dancer{lunger(), {x: 1.2, dir: -1}}
	r, x := lungeAt(t, d, 40)
	n := noteOf(x.Notes, NoteNoWayBack, mark.Left)
	if n == nil || !holds(n.Text, "no way back before it lands, in") || n.At != (At{"live", 40}) {
		t.Errorf("%+v", n)
	}
	if noteOf(x.Notes, NoteNoWayBack, mark.Right) != nil || noteOf(x.Notes, NoteRoom, mark.Right) != nil {
		t.Error("the fencer who stands in the middle is warned")
	}
	for _, c := range []struct {
		x    float64
		says string
	}{{-3.9, ""}, {-5.9, "of piste behind"}, {-7.2, "beyond the rear limit"}} {
		foot := x.Commits[mark.Left].Stance
		foot.Rear.At = quantity.Normal(quantity.Metres(c.x), .04)
		x.Commits[mark.Left].Stance = foot
		n := noteOf(readNotes(r.Touch, r, x), NoteRoom, mark.Left)
		if (n != nil) != (c.says != "") || n != nil && !holds(n.Text, c.says) {
			t.Errorf("rear foot at %.1f m: %+v", c.x, n)
		}
	}
	// A body that runs over its front foot.
	over := *x.Commits[mark.Right]
	over.Stance.Speed = quantity.Normal(quantity.MetresPerSecond(2.4), .1)
	over.Commitment, _ = timing.Commit(over.Stance)
	over.Finding = commitFinding(mark.Right, &over)
	x.Commits[mark.Right] = &over
	if n := noteOf(readNotes(r.Touch, r, x), NoteOverFront, mark.Right); n == nil || !holds(n.Text, "over the front foot at 2.40 ± 0.10 m/s") {
		t.Errorf("%+v", n)
	}
}

// T15, T20, T21 (common practice, no source): the hand as the nearest target, the band
// that only one reaches, and a launch from where the other can extend.
func TestNotesOfDistance(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	// The points at rest: Left's 1.16 m before the front foot and so on. Left's point is
	// at −0.34 m, Right's at x − 1.16; Left's guard at −1.24.
	far, near := [2]dancer{lunger(), {x: 1.2, dir: -1}}, [2]dancer{lunger(), {x: .05, dir: -1}}
	_, x := lungeAt(t, far, 30)
	if n := noteOf(x.Notes, NoteInReach, mark.Left); n != nil {
		t.Errorf("1.3 m off: %s", n.Text)
	}
	r, x := lungeAt(t, near, 26)
	if n := noteOf(x.Notes, NoteInReach, mark.Left); n != nil {
		t.Errorf("as far as the arm goes, or not: %s", n.Text)
	}
	r.Touch.Bout.Right.Reach = 1.9 // an arm that has half a metre left
	x, err := r.TimingAt(TimingAsk{At: At{"live", 26}})
	if err != nil {
		t.Fatal(err)
	}
	n := noteOf(x.Notes, NoteInReach, mark.Left)
	if n == nil || !holds(n.Text, "an extension alone could hit") {
		t.Fatalf("0.1 m off: %+v", x.Notes)
	}
	checkNotes(t, r, x)
	if n := noteOf(x.Notes, NoteHand, mark.Left); n == nil || !holds(n.Text, "Left's hand is the nearest target") {
		t.Errorf("%+v", n)
	}
	for _, c := range []struct {
		left, right float64
		who         mark.Side
		noted       bool
	}{{1.40, 0.90, mark.Left, true}, {0.90, 1.40, mark.Right, true}, {1.10, 1.10, mark.Left, false}} {
		r.Touch.Bout.Left.Lunge, r.Touch.Bout.Right.Lunge = c.left, c.right
		r.Profiles = [2]Profile{profileOf(r.Touch, mark.Left), profileOf(r.Touch, mark.Right)}
		n := noteOf(readNotes(r.Touch, r, x), NoteReachBand, c.who)
		if (n != nil) != c.noted {
			t.Errorf("lunges of %.2f and %.2f m: %+v", c.left, c.right, n)
		}
	}
}

// T1, T4, T26 (common practice, no source), and never a reproach for a size that the
// distance asked for.
func TestNotesOfAParry(t *testing.T) {
	r := filmedStill(t)
	at := At{"live", 40}
	rad := func(deg float64) quantity.Of[quantity.Radians] {
		return quantity.Normal(quantity.Radians(deg*math.Pi/180), .01)
	}
	base := func(size timing.Size, sure float64) *Timing {
		j := timing.Judged{Size: size, Asked: rad(12), AskedBefore: rad(7), Made: rad(14), Clear: quantity.Normal(quantity.Metres(.04), .01),
			Touching: quantity.Exactly(quantity.Chance(.9)), Leverage: quantity.Normal(quantity.Ratio(3), .5), AttackerPart: timing.Foible, DefenderPart: timing.Forte}
		for i, s := range timing.Sizes() {
			p := (1 - sure) / 3
			if s == size {
				p = sure
			}
			j.Chances[i] = quantity.Exactly(quantity.Chance(p))
		}
		return &Timing{At: at, Parry: &ParryReading{Defender: mark.Right, Observed: &ObservedParry{To: at, Judged: j}}}
	}
	for size, kind := range map[timing.Size]string{timing.SizeSmall: NoteParrySmall, timing.SizeEnough: NoteParryEnough, timing.SizeLarge: NoteParryLarge} {
		for _, sure := range []float64{.9, .6} {
			x := base(size, sure)
			if size == timing.SizeLarge {
				x.Parry.Observed.Judged.Clear.Mean = .14
			}
			n := noteOf(readNotes(r.Touch, r, x), kind, mark.Right)
			if (n != nil) != (sure > noteSure) {
				t.Errorf("%s, sure by %.1f: %+v", size, sure, n)
				continue
			}
			if n == nil {
				continue
			}
			if !holds(n.Text, "distance") || !holds(n.Text, "raised what it asked for from 7.0 ± 0.6°") {
				t.Errorf("%s: %s", size, n.Text)
			}
		}
	}
	// A large turn that the distance asked for is enough, and no word of "large".
	for _, n := range readNotes(r.Touch, r, base(timing.SizeEnough, .9)) {
		if holds(n.Text, "further than") || holds(n.Text, "too ") {
			t.Error(n.Text)
		}
	}
	lever := func(mean float64) *Note {
		x := base(timing.SizeEnough, .9)
		x.Parry.Observed.Judged.Leverage = quantity.Normal(quantity.Ratio(mean), .3)
		return noteOf(readNotes(r.Touch, r, x), NoteLeverage, mark.Right)
	}
	for _, c := range []struct {
		mean float64
		says string
	}{{4, "Right had the leverage"}, {1, ""}, {.2, "The attacker had the leverage"}} { // forte on foible, middles, foible on forte
		if n := lever(c.mean); (n != nil) != (c.says != "") || n != nil && !holds(n.Text, c.says) {
			t.Errorf("leverage %v: %+v", c.mean, n)
		}
	}
	for after, noted := range map[quantity.Seconds]bool{.2: false, .5: false, .9: true} {
		x := base(timing.SizeEnough, .9)
		q := quantity.Normal(after, .05)
		x.Parry.Observed.RiposteAfter = &q
		if n := noteOf(readNotes(r.Touch, r, x), NoteNoRiposte, mark.Right); (n != nil) != noted {
			t.Errorf("a riposte after %.1f s: %+v", after, n)
		}
	}
}

// An answer against the last instant at which it serves (T10's parry: 150 to 200 ms
// before the hit, common practice, no source), with the hit as it was seen where the one
// lamp is the attacker's.
func TestNotesOfAnAnswer(t *testing.T) {
	r := filmedStill(t)
	r.Touch.Moments = []mark.Moment{{ID: "a", Name: "Right's parry starts", Take: "live", After: 50, By: 51}}
	at := At{"live", 40} // 0.80 s
	ask := func(start float64) []Note {
		w := &Windows{}
		for i, a := range timing.Answers() {
			w.Each[i] = timing.Window{Answer: a, Possible: quantity.Exactly(quantity.Chance(1)), Latest: quantity.Normal(quantity.Seconds(.34), .04)}
		}
		w.Hit, w.Ready = quantity.Normal(quantity.Seconds(.50), .03), quantity.Normal(quantity.Seconds(.25), .03)
		x := &Timing{At: at, Instant: quantity.Exactly(quantity.Seconds(.80)), Windows: w, Started: &Started{
			Starts: []StartOf{{Start: timing.Start{Side: timing.Right, Part: "hand", Time: quantity.Normal(quantity.Seconds(.80+start), .008)}, Moment: "a", Take: "live", By: 51}},
			Launch: &Launch{Who: mark.Left, At: quantity.Normal(quantity.Seconds(.80), .01), Take: "live", By: 40},
		}}
		return readNotes(r.Touch, r, x)
	}
	for _, c := range []struct {
		start      float64
		kind, says string
	}{
		{.10, NoteInTime, "240 ± 41 ms to spare"}, {.42, NoteLate, "80 ± 41 ms after the last instant"}, {.35, NoteLate, "may have started too late"}, {.33, "", ""},
	} {
		got := ask(c.start)
		for _, kind := range []string{NoteInTime, NoteLate} {
			n := noteOf(got, kind, mark.Right)
			if (n != nil) != (kind == c.kind) || n != nil && !holds(n.Text, c.says) {
				t.Errorf("a parry after %.2f s: %+v", c.start, n)
			}
		}
		if n := noteOf(got, NoteGuess, mark.Right); (n != nil) != (c.start < .2) {
			t.Errorf("a parry after %.2f s, ready after 0.25: %+v", c.start, n)
		}
	}
	// The attack was quicker than the model: it hit after 0.40 s. A parry that the model
	// would have in time was late by 60 ms.
	r.Touch.Lamps = &bout.Lamps{Left: true}
	r.times = nil // the clock as declared
	r.Moments = []MomentReading{{Moment: mark.Moment{ID: "hit", Name: "hit", Take: "live", After: 59, By: 60}, At: quantity.Normal(quantity.Seconds(1.20), .006)}}
	if n := noteOf(ask(.30), NoteLate, mark.Right); n == nil || !holds(n.Text, "60 ± 28 ms after") || !holds(n.Reference, "160 ± 26 ms before the hit as it was seen") {
		t.Errorf("%+v", n)
	}
	r.Touch.Lamps = &bout.Lamps{Right: true} // the riposte's hit says nothing of the attack
	if n := noteOf(ask(.10), NoteInTime, mark.Right); n == nil || !holds(n.Text, "240 ± 41 ms to spare") {
		t.Errorf("%+v", n)
	}
	// An answer from before the launch was one to something else.
	for _, n := range ask(-.03) {
		if n.Kind == NoteInTime || n.Kind == NoteLate || n.Kind == NoteGuess {
			t.Errorf("%+v", n)
		}
	}
}

// Parts that are missing give no notes and no fall.
func TestNotesOfNothing(t *testing.T) {
	if readNotes(nil, nil, nil) != nil {
		t.Error("notes of nothing")
	}
	r := filmedStill(t)
	for _, x := range []*Timing{{}, {At: At{"live", 40}}, {Started: &Started{}}, {Parry: &ParryReading{}}, {Windows: &Windows{}, Started: &Started{Launch: &Launch{}}},
		{Commits: [2]*Commit{{}, nil}}, {At: At{"gone", 4}, Windows: &Windows{}, Started: &Started{Launch: &Launch{Take: "gone"}}}} {
		readNotes(r.Touch, r, x)
	}
}

func parse(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
