package chart

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// starts is a lunge of the left fencer into the right one's step, made up.
func starts(t testing.TB) *study.Reading {
	r := reading(t)
	frame := func(side mark.Side, part string, at float64, kind, moment string) study.StartOf {
		s := study.StartOf{Start: timing.Start{Side: int(side), Part: part, Time: quantity.Uniform(quantity.Seconds(at-0.02), quantity.Seconds(at+0.02)), Uniform: true}, Kind: kind, Take: "live", By: mark.Frame(50 * at)}
		if moment == "" {
			s.Proposal = part + "-proposed"
		}
		s.Moment = moment
		return s
	}
	soft := frame(mark.Right, "blade", 2.41, study.OnsetStarts, "")
	soft.Time, soft.Uniform = quantity.Normal(quantity.Seconds(2.41), 0.03), false
	all := []study.StartOf{
		frame(mark.Right, "front foot", 2.10, study.OnsetLifts, ""), frame(mark.Left, "hand", 2.20, study.OnsetStarts, "hand"),
		frame(mark.Left, "front foot", 2.23, study.OnsetLifts, "foot"), frame(mark.Right, "rear foot", 2.32, study.OnsetLifts, ""),
		soft, frame(mark.Right, "hand", 2.44, study.OnsetStarts, ""),
	}
	var plain []timing.Start
	for _, s := range all {
		plain = append(plain, s.Start)
	}
	order, err := timing.StartOrder(plain, 2000, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	lag, err := timing.HandToFoot(plain[1], plain[2])
	if err != nil {
		t.Fatal(err)
	}
	tempi, speed := quantity.Normal(quantity.Ratio(2.1), 0.4), quantity.Normal(quantity.MetresPerSecond(0.9), 0.2)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 130}, Started: &study.Started{
		Starts: all, Order: order, Lags: [2]*timing.Lag{&lag, nil},
		Launch:  &study.Launch{Who: mark.Left, At: all[1].Time, Take: "live", By: 110, Into: study.LaunchIntoAdvance, Chance: 0.86, OppSpeed: &speed, Tempi: &tempi},
		Tempo:   [2]quantity.Of[quantity.Seconds]{quantity.Normal(quantity.Seconds(0.23), 0.04), quantity.Normal(quantity.Seconds(0.26), 0.03)},
		Finding: "Right started first, in 100 of 100. Left’s hand and front foot started together as far as the picture tells. Left launched into the opponent’s advance",
	}}
	return r
}

// startsOf keeps a few of them.
func startsOf(t testing.TB, keep ...int) *study.Reading {
	r := starts(t)
	s := r.Timing.Started
	var all []study.StartOf
	var plain []timing.Start
	for _, i := range keep {
		all, plain = append(all, s.Starts[i]), append(plain, s.Starts[i].Start)
	}
	order, err := timing.StartOrder(plain, 2000, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	s.Starts, s.Order, s.Lags, s.Launch = all, order, [2]*timing.Lag{}, nil
	s.Finding = "Right’s blade and hand: which started first cannot be told"
	return r
}

// Lines stand as on the stave: left from the top with the feet outermost, right in
// mirror order; the time on paper is true.
func TestStartsStandAsOnTheStave(t *testing.T) {
	c := &starting{o: Options{}.themed(), s: starts(t).Timing.Started}
	if !c.lay() {
		t.Fatal("nothing to lay out")
	}
	want := []startRow{{mark.Left, "front foot"}, {mark.Left, "hand"}, {mark.Right, "blade"}, {mark.Right, "hand"}, {mark.Right, "front foot"}, {mark.Right, "rear foot"}}
	if !slices.Equal(c.rows, want) {
		t.Errorf("lines %v", c.rows)
	}
	if !slices.Equal(c.rank, []int{1, 2, 3, 4, 5, 6}) {
		t.Errorf("ranks %v", c.rank)
	}
	x := c.x(draw.Box{W: 166})
	if a, b := x(2.20)-x(2.10), x(2.44)-x(2.34); math.Abs(float64(a-b)) > 1e-9 || !(a > 0) {
		t.Errorf("100 ms are %v and %v", a, b)
	}
	// The launch of 2.20 s and 2.1 extensions of 230 ms.
	if end, ok := c.end(); !ok || math.Abs(end-(2.20+2.1*0.23)) > 1e-9 {
		t.Errorf("the hit stands at %v", end)
	}
	if from, ok := c.counted(mark.Left); !ok || from != 2.20 {
		t.Errorf("left is counted from %v, not from the launch", from)
	}
	if from, ok := c.counted(mark.Right); !ok || from != 2.10 {
		t.Errorf("right is counted from %v, not from the first start", from)
	}
}

func TestStartsAreSaid(t *testing.T) {
	r := starts(t)
	d, err := Started(r, Options{Layout: plate.Phone})
	if err != nil {
		t.Fatal(err)
	}
	s := strings.Join(linesOf(d), " ")
	x := r.Timing.Started
	for _, want := range []string{"front foot", "rear foot", "Left’s attack starts", "hit", plate.Percent(x.Order.Likelihood), plate.Milliseconds(x.Lags[0].Time), plate.Milliseconds(x.Tempo[1]), plate.Chance(x.Launch.Chance), "Left launched into"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is not said", want)
		}
	}
	if strings.Contains(d.Title, "hand") || !strings.HasPrefix(d.Title, "Right started first") {
		t.Errorf("title %q", d.Title)
	}
}

// Numbers that are none never reach the pen.
func TestStartsBearNonsense(t *testing.T) {
	nan := quantity.Seconds(math.NaN())
	bad := quantity.Of[quantity.Seconds]{Mean: nan, SD: nan, Lo: nan, Hi: nan}
	r := starts(t)
	x := r.Timing.Started
	x.Starts[0].Time, x.Tempo[1], x.Launch.At = bad, bad, bad
	x.Order.Sequence = append(x.Order.Sequence, 99, -1)
	if _, err := Started(r, Options{}); err != nil {
		t.Error(err)
	}
	for i := range x.Starts {
		x.Starts[i].Time = bad
	}
	if _, err := Started(r, Options{}); !errors.Is(err, ErrNoStarts) {
		t.Errorf("no start has a time, and it says %v", err)
	}
}
