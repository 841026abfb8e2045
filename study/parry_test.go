package study

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/timing"
)

// fought is a touch of two marked frames, 10 and 20: the left fencer attacks the right
// one's forearm, whose parry turns the left blade upward by this many degrees about the
// hand, while the left hand comes on by closed metres. Everything lies where the laws
// beside the plane have their means, and is marked to half a pixel.
func fought(up, closed float64) *Touch {
	t := &Touch{
		Bout:   bout.Bout{Weapon: bout.Epee, Left: bout.Fencer{Stature: 1.80, Hand: bout.RightHand}, Right: bout.Fencer{Stature: 1.78, Hand: bout.RightHand}},
		Videos: []Video{{ID: "v", File: "v.mp4"}}, Takes: []mark.Take{{ID: "live", Video: "v", From: 0, To: 99, Steady: true}},
		Race:     RaceAsk{Left: RunAsk{Action: "lunge", Target: mark.Forearm}, Right: RunAsk{Action: "extension", Target: mark.Chest}},
		Attacker: "left",
	}
	e := eye{at: [3]float64{0.2, -11, 2.9}, tilt: 0.17, focal: 1250}
	pl := Placing{Take: "live", Frame: 10}
	for _, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"} {
		p, _ := piste.Named(name, piste.Width)
		pl.Points = append(pl.Points, PlacedPoint{Name: name, At: e.see([3]float64{p.X, p.Y, p.Z}), SD: 0.3})
	}
	t.Placings = []Placing{pl}
	for i, f := range []mark.Frame{10, 20} {
		came, s, c := closed*float64(i), 0.0, 1.0
		if i == 1 {
			s, c = math.Sincos(up * math.Pi / 180)
		}
		places := map[mark.Side]map[mark.What][3]float64{
			mark.Left: stance(-1.1+came, 1, 0.45), mark.Right: stance(1.1, -1, 0.2)}
		guard := places[mark.Left][mark.Guard]
		places[mark.Left][mark.Point] = [3]float64{guard[0] + 0.9*c, 0, guard[2] - 0.01 + 0.9*s}
		for _, side := range mark.Sides {
			for _, w := range mark.Points() {
				p := places[side][w]
				off, _ := offPlane(w, side, bout.RightHand)
				p[1] = float64(off)
				t.Marks = append(t.Marks, mark.Mark{Take: "live", Frame: f, Who: side, What: w, At: e.see(p), SD: 0.5})
			}
		}
	}
	t.Actions = []bout.Action{{ID: "p", Who: mark.Right, Line: "hand", Word: "Quarte", Take: "live", From: 10, To: 20}}
	return t
}

func parryAt(t *testing.T, touch *Touch, f mark.Frame) (*ParryReading, []Lack) {
	t.Helper()
	r := mustRead(t, touch, ReadOptions{Draws: 4000, Partial: true})
	x, err := r.TimingAt(TimingAsk{At: At{"live", f}})
	if err != nil {
		t.Fatal(err)
	}
	var lacks []Lack
	for _, l := range x.Lacks {
		if l.Part == PartParry {
			lacks = append(lacks, l)
		}
	}
	return x.Parry, lacks
}

// TestParryOfAnInstant: what the parry is asked is what the geometry of the places says:
// the distance from the hand, T2's angle for an attack on the middle of the target, and
// more of it the closer the hand.
func TestParryOfAnInstant(t *testing.T) {
	p, lacks := parryAt(t, fought(0, 0.3), 10)
	if p == nil || len(lacks) != 0 {
		t.Fatalf("no parry: %v", lacks)
	}
	if p.Defender != mark.Right || p.Zone != mark.Forearm || p.Finding == "" {
		t.Errorf("%v, %v, %q", p.Defender, p.Zone, p.Finding)
	}
	// From the left guard at −0.6 to the wrist of the right fencer, a third of the way
	// from the guard at 0.85 to the elbow at 1.05.
	want := 0.85 + 0.2/3 + 0.6
	if d := float64(p.Asked.HandToZone.Mean); math.Abs(d-want) > 0.03 {
		t.Errorf("hand to zone %v, want about %v", d, want)
	}
	// A line that meets it is at most radius + margin off its middle: T2 bounds the turn.
	most := 2 * math.Asin(0.11/(want-0.11)) // a line along one edge, turned past the other
	if n := p.Asked.Needed; !(n.Mean > 0 && float64(n.Hi) < most) {
		t.Errorf("needed %v, at most %v", n, most)
	}
	if p.AtHit == nil || !(p.AtHit.Needed.Mean > p.Asked.Needed.Mean) {
		t.Fatalf("at the hit %+v", p.AtHit)
	}
	last := ParryStep{}
	for i, s := range p.Course {
		if i > 0 && (s.HandToZone.Mean >= last.HandToZone.Mean || s.Turn.Mean < last.Turn.Mean-s.Turn.SD/10) {
			t.Errorf("step %d: %+v after %+v", i, s, last)
		}
		last = s
	}
	if len(p.Course) != courseSteps+1 || p.Course[courseSteps].Turn != p.AtHit.Needed {
		t.Errorf("course %+v", p.Course)
	}
	// The time is that of the usual one, by Fitts for its size.
	usual, _ := timing.UsualSize(p.Kind)
	path := p.AtHit.Best.Path
	byHand := float64(p.Usual.Mean) + 0.095*(math.Log2(float64(path.Mean/usual))-sq(float64(path.SD/path.Mean))/2/math.Ln2)
	if math.Abs(float64(p.Time.Mean)-byHand) > 1e-9 {
		t.Errorf("time %v, by hand %v", p.Time.Mean, byHand)
	}
}

// TestParryLacks: what the marks do not carry is refused in one line with a mend, and
// nothing is taken silently.
func TestParryLacks(t *testing.T) {
	without := func(who mark.Side, what ...mark.What) *Touch {
		k := fought(0, 0.3)
		k.Actions = nil
		var left []mark.Mark
		for _, m := range k.Marks {
			keep := true
			for _, w := range what {
				keep = keep && !(m.Who == who && m.What == w)
			}
			if keep {
				left = append(left, m)
			}
		}
		k.Marks = left
		return k
	}
	for name, c := range map[string]struct {
		touch *Touch
		side  mark.Side
		says  string
	}{
		"no point":        {without(mark.Left, mark.Point), mark.Left, "left's point is not marked"},
		"no guard":        {without(mark.Right, mark.Guard), mark.Right, "right's guard is not marked"},
		"no target":       {without(mark.Right, mark.Elbow), mark.Right, "right's elbow is not marked"},
		"only one fencer": {without(mark.Right, mark.Points()...), mark.Right, "right's guard is not marked"},
	} {
		p, lacks := parryAt(t, c.touch, 10)
		if p != nil || len(lacks) != 1 || lacks[0].Side != c.side || !strings.Contains(lacks[0].Why, c.says) || lacks[0].Mend == "" {
			t.Errorf("%s: %+v, %+v", name, p, lacks)
		}
	}
	long := fought(0, 0.3)
	for i := range long.Marks {
		if m := &long.Marks[i]; m.Who == mark.Left && m.What == mark.Guard {
			m.At.U -= 60 // half a metre
		}
	}
	if p, lacks := parryAt(t, long, 10); p != nil || len(lacks) != 1 || !strings.Contains(lacks[0].Why, "blade is") || !strings.Contains(lacks[0].Mend, "0.90 m") {
		t.Errorf("a blade of 1.4 m: %+v", lacks)
	}
	free := fought(0, 0.3)
	free.Race.Left.Target = ""
	if p, lacks := parryAt(t, free, 10); p == nil || p.Zone == "" {
		t.Errorf("no target asked for: %v", lacks)
	}
}

// TestParrySeen: a parry upward shows from the side and is judged; one of which the
// picture shows nothing is not called small, since it may have gone sideways; none is
// called wrong.
func TestParrySeen(t *testing.T) {
	p, lacks := parryAt(t, fought(14, 0.3), 20)
	if p == nil || p.Observed == nil {
		t.Fatalf("no parry was seen: %v", lacks)
	}
	o := p.Observed
	if o.Action != "p" || o.From.Frame != 10 || o.To.Frame != 20 || o.Judged.Size != timing.SizeLarge || o.Judged.Chances[3].Mean < 0.9 {
		t.Errorf("14° upward: %+v", o)
	}
	if made := float64(o.Judged.Made.Mean) * 180 / math.Pi; made < 12 || made > 26 {
		t.Errorf("made %v°", made)
	}
	if !strings.Contains(o.Finding, "larger than needed") || !strings.Contains(o.Finding, "Right's Quarte turned") {
		t.Errorf("%q", o.Finding)
	}
	// By hand: the line from 1.25 m up at 14° passes the wrist, 1.22 m from the hand.
	if c := o.Judged.Clear; math.Abs(float64(c.Mean)-(1.2*math.Sin(14*math.Pi/180)-0.06)) > 0.08+2*float64(c.SD) || !(c.Lo > 0.05) {
		t.Errorf("passes by %v", c)
	}

	p, _ = parryAt(t, fought(0, 0.3), 20)
	if p == nil || p.Observed == nil || p.Observed.Judged.Chances[1].Mean > 0.75 || !strings.Contains(p.Observed.Finding, "cannot tell") {
		t.Errorf("nothing seen: %+v", p.Observed)
	}
	for _, up := range []float64{0, 5, 14} {
		if p, _ := parryAt(t, fought(up, 0.7), 20); p != nil && p.Observed != nil && strings.Contains(p.Observed.Finding, "wrong") {
			t.Error(p.Observed.Finding)
		}
	}

	// Without the frames of the action it says which.
	k := fought(14, 0.3)
	k.Actions[0].From, k.Actions[0].To = 30, 40
	p, lacks = parryAt(t, k, 10)
	if p == nil || p.Observed != nil || len(lacks) != 1 || !strings.Contains(lacks[0].Why, "Quarte on the stave is not measured") || !strings.Contains(lacks[0].Mend, "30 and 40") {
		t.Errorf("%+v", lacks)
	}
	// By moments, where the stave says nothing.
	k = fought(14, 0.3)
	k.Actions = nil
	k.Moments = []mark.Moment{{ID: "a", Name: "Right's parry starts", Take: "live", After: 9, By: 10}, {ID: "b", Name: "The blades meet", Take: "live", After: 19, By: 20}}
	if p, _ = parryAt(t, k, 10); p == nil || p.Observed == nil || p.Observed.Action != "" || p.Observed.To.Frame != 20 {
		t.Errorf("by moments: %+v", p)
	}
	// The parry of the one who attacks is not the one that is asked for.
	k.Moments[0].Name = "Left's parry starts"
	if p, _ = parryAt(t, k, 10); p == nil || p.Observed != nil {
		t.Error("the attacker's own parry was taken")
	}
}

// TestRiposteAfterAParry: the race after it is run, its lamps sum to one, a riposte on
// the stave gives its time, and half a second is too long (T26, common practice).
func TestRiposteAfterAParry(t *testing.T) {
	for _, c := range []struct {
		from mark.Frame
		says string
	}{{23, "The riposte started 60"}, {48, "the initiative was the opponent's again"}} {
		k := fought(14, 0.2)
		k.Actions = append(k.Actions, bout.Action{ID: "r", Who: mark.Right, Line: "blade", Word: "riposte", Take: "live", From: c.from, To: c.from + 5})
		p, _ := parryAt(t, k, 20)
		if p == nil || p.Observed == nil || p.Observed.RiposteAfter == nil || !strings.Contains(p.Observed.Finding, c.says) {
			t.Fatalf("%+v", p)
		}
		if d := float64(p.Observed.RiposteAfter.Mean); math.Abs(d-float64(c.from-20)/50) > 1e-9 {
			t.Errorf("after %v s", d)
		}
		x := p.Riposte
		if x == nil || !x.Seen || x.Target != mark.Chest || x.Finding == "" {
			t.Fatalf("riposte %+v", x)
		}
		for _, w := range []timing.RiposteWay{x.Result.Direct, x.Result.AlongTheBlade, x.Result.Indirect} {
			if s := w.RiposteOnly.Mean + w.RemiseOnly.Mean + w.Both.Mean + w.Neither.Mean; math.Abs(float64(s)-1) > 1e-9 {
				t.Errorf("lamps sum to %v", s)
			}
		}
	}
	k := fought(0, 0.3)
	k.Actions = nil
	p, _ := parryAt(t, k, 10)
	if p == nil || p.Riposte == nil || p.Riposte.Seen {
		t.Fatalf("before the attack arrives: %+v", p.Riposte)
	}
	now, _ := p.Riposte.State.Gap, p.Riposte.Target
	if !(now.Mean > 0.05 && now.Mean < 1.2) {
		t.Errorf("gap after the parry %v", now)
	}
}

// TestTradeWordsOfParries: the numbered ones are parries on the hand's line, the others
// by their name; a riposte is none.
func TestTradeWordsOfParries(t *testing.T) {
	for _, line := range bout.StaveLines {
		for _, w := range bout.StaveWords(line) {
			want := strings.HasPrefix(w.About, "Parry") || strings.HasPrefix(w.About, "A parry") || w.Word == "parry" || w.Word == "opposition"
			if isParry(line, w.Word) != want {
				t.Errorf("%s on %s: %v", w.Word, line, !want)
			}
		}
	}
	if !isParry("hand", " Sixte ") || isParry("feet", "sixte") || isParry("hand", "my own word") {
		t.Error("words of the coach")
	}
}

// TestHandPath is the sum of the steps through every frame, and zero where one is not
// known.
func TestHandPath(t *testing.T) {
	at := func(f int, x, z float64) TrackStep {
		return TrackStep{Frame: mark.Frame(f), X: quantity.Normal(quantity.Metres(x), .003), Z: quantity.Normal(quantity.Metres(z), .004)}
	}
	k := &parrying{defender: mark.Right, r: &Reading{Tracks: []Track{{Take: "live", Who: mark.Right, What: mark.Guard,
		Steps: []TrackStep{at(9, 0, 0), at(10, 0, 0), at(11, .03, .04), at(12, .03, .14), at(13, .03, .04), at(15, 1, 1)}}}}}
	q := k.handPath("live", 10, 13)
	if math.Abs(float64(q.Mean)-.25) > 1e-12 || math.Abs(float64(q.SD)-.005) > 1e-12 {
		t.Errorf("path %v", q)
	}
	if k.handPath("live", 10, 15) != (quantity.Of[quantity.Metres]{}) || k.handPath("slow", 10, 13) != (quantity.Of[quantity.Metres]{}) {
		t.Error("a path through frames that are not known")
	}
}

// TestBladeOfKnownLength holds the update for the length of the blade against draws of
// the same law, weighted by how likely their length is.
func TestBladeOfKnownLength(t *testing.T) {
	for name, c := range map[string]struct{ x, sdY float64 }{"short in the picture": {.84, .12}, "too long": {.94, .10}, "as it is": {.88, .08}} {
		mean := []float64{0, -.12, 1.2, c.x, -.06, 1.25}
		sd := []float64{.008, .08, .008, .010, c.sdY, .010}
		j := quantity.Independent(mean, sd)
		got := withBlade(j, 0, 3)
		rng := rand.New(rand.NewPCG(3, 9))
		var sum, ww float64
		m, v := make([]float64, 6), make([]float64, 6)
		x := make([]float64, 6)
		length := 0.0
		for range 400000 {
			for i := range x {
				x[i] = mean[i] + sd[i]*rng.NormFloat64()
			}
			l := math.Sqrt(sq(x[3]-x[0]) + sq(x[4]-x[1]) + sq(x[5]-x[2]))
			w := math.Exp(-sq((l-float64(BladeLength))/float64(BladeLengthSD)) / 2)
			ww += w
			sum += w * l
			for i := range x {
				m[i] += w * x[i]
				v[i] += w * x[i] * x[i]
			}
		}
		length = sum / ww
		for i := range x {
			m[i] /= ww
			s := math.Sqrt(v[i]/ww - m[i]*m[i])
			// A straight line for a curve: half a spread in the mean, a third of it in the
			// spread.
			if math.Abs(got.Mean[i]-m[i]) > .5*s+.002 || got.SD(i) > 1.35*s || got.SD(i) < .65*s {
				t.Errorf("%s, number %d: %.4f ± %.4f, weighted %.4f ± %.4f", name, i, got.Mean[i], got.SD(i), m[i], s)
			}
		}
		l := math.Sqrt(sq(got.Mean[3]-got.Mean[0]) + sq(got.Mean[4]-got.Mean[1]) + sq(got.Mean[5]-got.Mean[2]))
		if math.Abs(l-length) > .02 {
			t.Errorf("%s: length %.4f, weighted %.4f", name, l, length)
		}
		if !got.IsValid() {
			t.Errorf("%s: no covariance", name)
		}
	}
	// A blade that is marked exactly, and one without length, stay as they are.
	for _, j := range []quantity.Joint{quantity.Independent([]float64{0, 0, 0, .7, 0, 0}, make([]float64, 6)), quantity.Independent(make([]float64, 6), []float64{.1, .1, .1, .1, .1, .1})} {
		if got := withBlade(j, 0, 3); got.Mean[3] != j.Mean[3] || got.Cov[0] != j.Cov[0] {
			t.Errorf("%v became %v", j.Mean, got.Mean)
		}
	}
}

// TestParrySizesTheDefence: the windows wait for the size that the attack asks for by
// its hit.
func TestParrySizesTheDefence(t *testing.T) {
	p, _ := parryAt(t, fought(0, 0.3), 10)
	d := timing.NewDefence(quantity.Normal(quantity.Metres(.9), .05))
	if got := p.sized(d); got != d.Sized(*p.AtHit) || got.Lateral == d.Lateral {
		t.Errorf("%+v", got)
	}
	if (*ParryReading)(nil).sized(d) != d {
		t.Error("no parry sizes the defence")
	}
}

func BenchmarkReadParry(b *testing.B) {
	touch := fought(14, 0.3)
	r, err := Read(b.Context(), touch, reel{100}, ReadOptions{Draws: 20000})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r.kept = nil
		if p, _ := readParry(touch, r, At{"live", 20}, mark.Left, 20000, 1); p == nil || p.Observed == nil {
			b.Fatal("no parry")
		}
	}
}
