package chain

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// drawnStages are nine stages with rates of their own.
func drawnStages(rng *rand.Rand) []Rates {
	all := make([]Rates, 9)
	for i := range all {
		p, q, d := rng.Float64()+.1, rng.Float64()+.1, rng.Float64()
		s := p + q + d
		all[i] = Rates{quantity.Chance(p / s), quantity.Chance(q / s), quantity.Chance(d / s)}
	}
	return all
}

func relay(t *testing.T, f Format, stages []Rates) *Relay {
	t.Helper()
	r, err := NewRelay(f, stages)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestARelayOfEqualPairsIsOneBout: with the same rates in all stages the stages do not
// matter, and every score is worth what the plain chain to 45 says, G9 of the trade
// figures among them (0.82855 for p = 0.55 without doubles).
func TestARelayOfEqualPairsIsOneBout(t *testing.T) {
	rng := rand.New(rand.NewPCG(45, 9))
	for _, last := range []bool{false, true} {
		x := drawnStages(rng)[0]
		stages := make([]Rates, 9)
		for i := range stages {
			stages[i] = x
		}
		f := Format{To: 45, LastDoubleCounts: last}
		r, c := relay(t, f, stages), made(t, f, x)
		for i := range 45 {
			for j := range 45 {
				s := Score{i, j}
				agree(t, fmt.Sprint(s), float64(r.Win(1, s)), float64(c.Win(s)), near)
				if got, want := r.At(5, s), c.At(s); math.Abs(float64(got.Importance-want.Importance)) > near || math.Abs(float64(got.DoubleWorth-want.DoubleWorth)) > near {
					t.Fatalf("%v: %+v, the chain says %+v", s, got, want)
				}
			}
		}
	}
	even := make([]Rates, 9)
	for i := range even {
		even[i] = Rates{Me: .55, Opponent: .45}
	}
	agree(t, "G9", float64(relay(t, Format{To: 45}, even).Win(1, Score{})), .82855, 5e-6)
}

// TestARelayAgainstSimulation fences relays touch by touch, the stages by the rule of
// t.41, from a score in mid-relay that a stage before left unfinished.
func TestARelayAgainstSimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 99))
	stages := drawnStages(rng)
	r := relay(t, Format{To: 45}, stages)
	const relays = 20000
	from, first := Score{7, 12}, 4 // three stages are over, the third by time
	wins, me, swing := 0, 0.0, 0.0
	v := r.StageFrom(first, from)
	for range relays {
		s := from
		for k := first; k <= 9; k++ {
			for s.Me < 5*k && s.Opponent < 5*k {
				x := stages[k-1]
				switch u := quantity.Chance(rng.Float64()); {
				case u < x.Me:
					s.Me++
				case u < x.Me+x.Opponent:
					s.Opponent++
				case s != Score{44, 44}:
					s.Me++
					s.Opponent++
				}
			}
			if k == first {
				me += float64(s.Me - from.Me)
				swing += math.Abs(float64(r.Win(k+1, s) - v.Win))
			}
		}
		if s.Me == 45 {
			wins++
		}
	}
	p := float64(v.Win)
	agree(t, "win", float64(wins)/relays, p, 4*math.Sqrt(p*(1-p)/relays))
	agree(t, "hits in the stage", me/relays, float64(v.Me), .1)
	agree(t, "swing", swing/relays, float64(v.Swing), .005)
}

// TestStages: the ends of a stage are all its ends, the relay is worth on average what
// it is worth at them, and a stage that a score has ended is the next.
func TestStages(t *testing.T) {
	r := relay(t, Format{To: 45}, drawnStages(rand.New(rand.NewPCG(3, 3))))
	s := Score{}
	for k := 1; k <= 9; k++ {
		v := r.StageFrom(k, s)
		sum, mean := 0.0, 0.0
		for _, e := range v.Ends {
			if m := max(e.Me, e.Opponent); m != 5*k {
				t.Errorf("stage %d ends at %v", k, e.Score)
			}
			sum += float64(e.Chance)
			mean += float64(e.Chance * e.Win)
		}
		agree(t, "all ends", sum, 1, near)
		agree(t, "mean of the ends", mean, float64(v.Win), near)
		if r.Stage(s) != k {
			t.Errorf("at %v stage %d", s, r.Stage(s))
		}
		s = Score{5 * k, 5*k - 2}
	}
	if r.Win(2, Score{12, 3}) != r.Win(3, Score{12, 3}) || r.Win(3, Score{12, 3}) == r.Win(4, Score{12, 3}) {
		t.Error("a stage is not the one of its score")
	}
	if r.At(9, Score{45, 40}).Win != 1 || r.At(9, Score{44, 44}).DoubleWorth != 0 {
		t.Error("the end of a relay")
	}
	var bad *BadInput
	if _, err := NewRelay(Format{To: 44}, make([]Rates, 9)); !errors.As(err, &bad) || bad.Field != "to" {
		t.Error(err)
	}
	if _, err := NewRelay(Format{To: 45}, make([]Rates, 9)); !errors.As(err, &bad) {
		t.Error(err)
	}
}
