package chart

import (
	"errors"
	"math"
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

// stance is a made-up stance; places count towards the opponent.
func stance(rear, front, hip, speed, onRear, onFront float64, lands quantity.Of[quantity.Seconds]) timing.Stance {
	m := func(v, sd float64) quantity.Of[quantity.Metres] {
		return quantity.Normal(quantity.Metres(v), quantity.Metres(sd))
	}
	s := timing.Stance{
		Front: timing.Foot{At: m(front, .03), OnFloor: quantity.Chance(onFront)}, Rear: timing.Foot{At: m(rear, .03), OnFloor: quantity.Chance(onRear)},
		Hip: m(hip, .04), Speed: quantity.Normal(quantity.MetresPerSecond(speed), 0.15), Height: 0.86,
	}
	if onFront < 0.5 {
		s.Front.Lands = lands
	}
	if onRear < 0.5 {
		s.Rear.Lands = lands
	}
	return s
}

func commitOf(t testing.TB, s timing.Stance, finding string) *study.Commit {
	t.Helper()
	c, err := timing.Commit(s)
	if err != nil {
		t.Fatal(err)
	}
	return &study.Commit{Commitment: c, Stance: s, Base: quantity.Normal(s.Front.At.Mean-s.Rear.At.Mean, 0.04), Finding: finding}
}

// standing is a lunge on its way against a fencer who stands.
func standing(t testing.TB) *study.Reading {
	r := reading(t)
	lands := quantity.Normal(quantity.Seconds(0.14), 0.02)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 104}, Commits: [2]*study.Commit{
		commitOf(t, stance(-1.95, -1.05, -1.3, 1.7, 0.97, 0.04, lands), "Left’s front foot is in the air: no way back before it lands, in 140 ± 20 ms"),
		commitOf(t, stance(-1.45, -0.75, -1.15, -0.1, 0.98, 0.98, lands), "Right stands on both feet: forward and back are both open"),
	}}
	return r
}

// running is a flèche of the right fencer in flight, of whose landing nothing is known,
// against one whose hip is not marked; they are too far apart for one floor.
func running(t testing.TB) *study.Reading {
	r := standing(t)
	left := commitOf(t, stance(-4.6, -3.9, -4.25, 0.9, 0.9, 0.8, quantity.Of[quantity.Seconds]{}), "Left runs on over the front foot at 0.9 ± 0.2 m/s: the way back takes one more step, about 350 ± 60 ms")
	left.OverBase = quantity.Of[quantity.Ratio]{}
	r.Timing.Commits = [2]*study.Commit{left, commitOf(t, stance(-1.45, -0.75, -0.95, 2.6, 0.1, 0.2, quantity.Of[quantity.Seconds]{}), "Right is in the air with both feet: nothing but the arm before a foot lands (the landing was not seen)")}
	return r
}

// alone is one fencer only.
func alone(t testing.TB) *study.Reading {
	r := standing(t)
	r.Timing.Commits[mark.Left] = nil
	r.Timing.Lacks = []study.Lack{{Part: study.PartCommit, Side: mark.Left, Why: "left's rear foot is not known on frame 104", Mend: "mark toe or heel of the rear foot on it"}}
	return r
}

// Both fencers stand on one floor to one scale: the gap on paper is that of their front
// feet, and what counts towards the opponent does so on paper.
func TestTheFloorIsToScale(t *testing.T) {
	r := standing(t)
	c := &stood{who: []mark.Side{mark.Left, mark.Right}, c: r.Timing.Commits}
	g := c.ground(draw.Box{W: 166})
	if g.broken {
		t.Fatal("fencers 1.8 m apart stand on a broken floor")
	}
	left, right := c.c[mark.Left].Stance, c.c[mark.Right].Stance
	gap := g.x(mark.Right, right.Front.At.Mean) - g.x(mark.Left, left.Front.At.Mean)
	if want := g.per * 1.8; math.Abs(float64(gap-want)) > 1e-9 { // −(−0.75) − (−1.05)
		t.Errorf("the front feet stand %.2f mm apart, not %.2f", gap, want)
	}
	for _, s := range mark.Sides {
		st := c.c[s].Stance
		if d := g.x(s, st.Front.At.Mean) - g.x(s, st.Rear.At.Mean); (d > 0) != (s == mark.Left) {
			t.Errorf("%v: the front foot stands %.1f mm from the rear one", s, d)
		}
	}
	far := &stood{who: c.who, c: running(t).Timing.Commits}
	if g := far.ground(draw.Box{W: 166}); !g.broken {
		t.Error("fencers 4.65 m apart stand on one floor")
	}
}

// What the picture says is what timing found: when it can start, and the reason.
func TestAStandIsSaid(t *testing.T) {
	r := standing(t)
	for _, l := range plate.Layouts {
		d, err := Stand(r, Options{Layout: l})
		if err != nil {
			t.Fatal(err)
		}
		s := strings.Join(linesOf(d), " ")
		for _, k := range r.Timing.Commits {
			for _, can := range k.Can {
				want := "in " + plate.Milliseconds(can.Next)
				if can.Now >= 0.995 {
					want = "now"
				} else if can.Now >= 0.5 {
					want = "now, " + plate.Chance(can.Now)
				}
				if !slices.Contains(linesOf(d), want) || !strings.Contains(s, plate.DoesWords(can.Do)) {
					t.Errorf("%v: %s: %q is not said", l, can.Do, want)
				}
			}
			if !strings.Contains(s, plate.Metres(k.Base)) {
				t.Errorf("%v: the base %s is not said", l, plate.Metres(k.Base))
			}
		}
		if !strings.Contains(s, "lands in 140") {
			t.Errorf("%v: when the foot lands is not said", l)
		}
	}
	if got := canWords(timing.Can{Now: 0.2, Known: false}); got != "not known when" {
		t.Errorf("what cannot be told: %q", got)
	}
	if f := (&stood{who: []mark.Side{mark.Left, mark.Right}, c: r.Timing.Commits}).first(); f != mark.Left {
		t.Errorf("the title is about %v, who can do more", f)
	}
}

// Numbers that are none never reach the pen.
func TestAStandBearsNonsense(t *testing.T) {
	nan := math.NaN()
	r := standing(t)
	r.Timing.Commits[mark.Left].Runs.Mean = quantity.Metres(nan)
	d, err := Stand(r, Options{})
	if err != nil || strings.Contains(strings.Join(linesOf(d), " "), "Left") {
		t.Errorf("a body that runs nowhere is drawn: %v", err)
	}
	r.Timing.Commits[mark.Right].Can[2].Next.Hi = quantity.Seconds(math.Inf(1))
	r.Timing.Commits[mark.Right].Can[2].Now = 0.1
	if _, err := Stand(r, Options{}); err != nil {
		t.Error(err)
	}
	r.Timing.Commits[mark.Right].Stance.Height = quantity.Metres(nan)
	if _, err := Stand(r, Options{}); !errors.Is(err, ErrNoStand) {
		t.Errorf("no fencer is left, and it says %v", err)
	}
}
