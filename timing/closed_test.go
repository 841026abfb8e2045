package timing

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"mesure/quantity"
)

type raceRow struct {
	MuA, SA, MuB, SB float64
	RateA, RateB     float64
	ExA              [3]float64 `json:"exgauss_A"`
	ExB              [3]float64 `json:"exgauss_B"`
	Lockout          float64
	AOnly            float64 `json:"P_A_only"`
	BOnly            float64 `json:"P_B_only"`
	Both             float64 `json:"P_both"`
	AFirst           float64 `json:"P_A_first"`
	Mean             float64 `json:"mean_A"`
	SD               float64 `json:"sd_A"`
	Median           float64 `json:"median_A"`
	Q95              float64 `json:"q95_A"`
}

type raceModel struct {
	Gaussian    []raceRow `json:"gaussian_arrivals"`
	Exponential []raceRow `json:"exponential_race"`
	ExGaussian  []raceRow `json:"ex_gaussian_race"`
	Later       struct {
		Cases []struct{ Mu, Sigma, T, CDF float64 }
	}
}

// readModel reads testdata/race_model.json: closed forms and SciPy 1.10.1.
func readModel(t testing.TB) raceModel {
	t.Helper()
	raw, err := os.ReadFile("testdata/race_model.json")
	if err != nil {
		t.Fatal(err)
	}
	var m raceModel
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	if len(m.Gaussian) != 6 || len(m.Exponential) != 4 || len(m.ExGaussian) != 3 {
		t.Fatalf("%d, %d and %d rows", len(m.Gaussian), len(m.Exponential), len(m.ExGaussian))
	}
	return m
}

func approx(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g ± %.2g", what, got, want, tol)
	}
}

func seconds(mean, sd float64) quantity.Of[quantity.Seconds] {
	return quantity.Normal(quantity.Seconds(mean), quantity.Seconds(sd))
}

func compareLamps(t *testing.T, got Lamps, row raceRow, tol float64) {
	t.Helper()
	approx(t, "left only", float64(got.LeftOnly), row.AOnly, tol)
	approx(t, "right only", float64(got.RightOnly), row.BOnly, tol)
	approx(t, "both", float64(got.Both), row.Both, tol)
	approx(t, "left first", float64(got.LeftFirst), row.AFirst, tol)
}

func TestGaussianRaceModel(t *testing.T) {
	for _, row := range readModel(t).Gaussian {
		w := quantity.Seconds(row.Lockout)
		compareLamps(t, GaussianRace(seconds(row.MuA, row.SA), seconds(row.MuB, row.SB), w), row, 1e-9)
		// The same by integration: a second route.
		a := TailedLaw{quantity.Seconds(row.MuA), quantity.Seconds(row.SA), 0}
		b := TailedLaw{quantity.Seconds(row.MuB), quantity.Seconds(row.SB), 0}
		compareLamps(t, TailedRace(a, b, w), row, 1e-9)
	}
}

func TestTailedRaceModel(t *testing.T) {
	m := readModel(t)
	for _, row := range m.Exponential {
		a := TailedLaw{Tail: quantity.Seconds(1 / row.RateA)}
		b := TailedLaw{Tail: quantity.Seconds(1 / row.RateB)}
		compareLamps(t, TailedRace(a, b, quantity.Seconds(row.Lockout)), row, 1e-9)
	}
	for _, row := range m.ExGaussian {
		a := TailedLaw{quantity.Seconds(row.ExA[0]), quantity.Seconds(row.ExA[1]), quantity.Seconds(row.ExA[2])}
		b := TailedLaw{quantity.Seconds(row.ExB[0]), quantity.Seconds(row.ExB[1]), quantity.Seconds(row.ExB[2])}
		compareLamps(t, TailedRace(a, b, quantity.Seconds(row.Lockout)), row, 1e-9)
		q := a.Of()
		approx(t, "mean", float64(q.Mean), row.Mean, 1e-12)
		approx(t, "sd", float64(q.SD), row.SD, 1e-12)
		approx(t, "median", float64(a.Quantile(.5)), row.Median, 1e-9)
		approx(t, "95 %", float64(a.Quantile(.95)), row.Q95, 1e-9)
	}
}

func TestPromptLawModel(t *testing.T) {
	cases := readModel(t).Later.Cases
	if len(cases) != 5 {
		t.Fatalf("%d cases", len(cases))
	}
	for _, c := range cases {
		l := PromptLaw{quantity.Ratio(c.Mu), quantity.Ratio(c.Sigma)}
		approx(t, "distribution", float64(l.Distribution(quantity.Seconds(c.T))), c.CDF, 1e-9)
	}
}

// The chances of figure table G15: window 45 ms, spread s of the difference and
// lead Δ, to the three printed digits.
func TestGaussianRaceG15(t *testing.T) {
	rows := map[float64][3][3]float64{ // Δ in ms: for s = 20, 40, 60 ms
		0:   {{.012, .976, .012}, {.130, .739, .130}, {.227, .547, .227}},
		40:  {{.401, .599, .000}, {.450, .533, .017}, {.467, .455, .078}},
		80:  {{.960, .040, .000}, {.809, .190, .001}, {.720, .261, .019}},
		100: {{.997, .003, .000}, {.915, .084, .000}, {.820, .172, .008}},
	}
	checked := 0
	for delta, byS := range rows {
		for i, want := range byS {
			s := float64(20*(i+1)) / 1000
			got := GaussianRace(seconds(.3, s*.6), seconds(.3+delta/1000, s*.8), .045)
			approx(t, "A single", float64(got.LeftOnly), want[0], 5.1e-4)
			approx(t, "double", float64(got.Both), want[1], 5.1e-4)
			approx(t, "B single", float64(got.RightOnly), want[2], 5.1e-4)
			checked += 3
		}
	}
	if checked != 36 {
		t.Fatalf("checked %d", checked)
	}
	// At Δ = window exactly half of the left wins become doubles.
	approx(t, "half", float64(GaussianRace(seconds(.3, .02), seconds(.345, .02), .045).LeftOnly), .5, 1e-12)
}

// still is a runner whose arrival is the onset plus a constant, returned too:
// the arrival is then normal when the onset is.
func still(t testing.TB, onset quantity.Of[quantity.Seconds]) (Runner, quantity.Seconds) {
	m := Movement{Name: "rod", Arm: quantity.Exactly(quantity.Metres(.5)), ArmTime: quantity.Exactly(quantity.Seconds(.25))}
	r := Runner{Gap: quantity.Exactly(quantity.Metres(.3)), Movement: m, Onset: Onset{Time: onset}}
	after, ok := m.TimeTo(.3)
	if !ok {
		t.Fatal("the rod does not arrive")
	}
	return r, after
}

// The draws agree with the closed form within 3 standard errors.
func TestDrawsAgainstClosedForm(t *testing.T) {
	const draws = 200000
	for _, row := range readModel(t).Gaussian {
		a, after := still(t, seconds(row.MuA, row.SA))
		b, _ := still(t, seconds(row.MuB, row.SB))
		got, err := Race{Runners: [2]Runner{a, b}}.Run(Apparatus{Window: quantity.Seconds(row.Lockout)}, draws, rand.NewPCG(7, 7))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name string
			got  quantity.Of[quantity.Chance]
			want float64
		}{{"left only", got.LeftOnly, row.AOnly}, {"right only", got.RightOnly, row.BOnly}, {"both", got.Both, row.Both}, {"left first", got.LeftFirst, row.AFirst}} {
			se := math.Sqrt(c.want * (1 - c.want) / draws)
			approx(t, c.name, float64(c.got.Mean), c.want, 3*se+.5/draws)
			approx(t, c.name+" SD", float64(c.got.SD), se, .1*se+1/float64(draws))
		}
		s := math.Hypot(row.SA, row.SB)
		approx(t, "margin", float64(got.Margin.Mean), row.MuB-row.MuA, 4*s/math.Sqrt(draws))
		approx(t, "margin SD", float64(got.Margin.SD), s, .01*s)
		approx(t, "arrival", float64(got.Runs[Left].Arrival.Mean), row.MuA+float64(after), 4*row.SA/math.Sqrt(draws))
		// Nothing but the onsets matters, by the share of their variances.
		if len(got.Matters) != 2 {
			t.Fatalf("matters: %v", got.Matters)
		}
		for _, m := range got.Matters {
			want := [2]float64{row.SA * row.SA, row.SB * row.SB}[m.Side] / (s * s)
			approx(t, "share", float64(m.Share), want, .02)
			if m.Input != InputOnset {
				t.Errorf("%q matters", m.Input)
			}
		}
	}
}

// Arrivals with tails through the counting of the draws, against integration.
func TestCountingAgainstTailedRace(t *testing.T) {
	const draws = 200000
	for _, row := range readModel(t).ExGaussian {
		rng := rand.New(rand.NewPCG(3, 9))
		c := newTally(&drawer{}, draws)
		b := &batch{}
		b.window[0] = row.Lockout
		for range draws {
			a := row.ExA[0] + row.ExA[1]*rng.NormFloat64() + row.ExA[2]*rng.ExpFloat64()
			b.at[Left][0] = a
			b.at[Right][0] = row.ExB[0] + row.ExB[1]*rng.NormFloat64() + row.ExB[2]*rng.ExpFloat64()
			c.count(b, 1)
		}
		for _, p := range [][2]float64{{float64(c.leftOnly), row.AOnly}, {float64(c.rightOnly), row.BOnly}, {float64(c.both), row.Both}, {float64(c.leftFirst), row.AFirst}} {
			approx(t, "chance", p[0]/draws, p[1], 3*math.Sqrt(p[1]*(1-p[1])/draws))
		}
	}
}

// Without any spread the draws are the closed form exactly.
func TestCertainRace(t *testing.T) {
	for _, c := range []struct{ a, b, window float64 }{
		{.3, .3, .045}, {.3, .34, .045}, {.3, .4, .045}, {.41, .3, .045}, {.3, .31, 0}, {.25, .25, 0},
	} {
		a, after := still(t, seconds(c.a, 0))
		b, _ := still(t, seconds(c.b, 0))
		got, err := Race{Runners: [2]Runner{a, b}}.Run(Apparatus{Window: quantity.Seconds(c.window)}, 1000, nil)
		if err != nil {
			t.Fatal(err)
		}
		want := GaussianRace(seconds(c.a, 0), seconds(c.b, 0), quantity.Seconds(c.window))
		if got.LeftOnly != quantity.Exactly(want.LeftOnly) || got.RightOnly != quantity.Exactly(want.RightOnly) ||
			got.Both != quantity.Exactly(want.Both) || got.LeftFirst != quantity.Exactly(want.LeftFirst) {
			t.Errorf("%v: %+v, closed form %+v", c, got, want)
		}
		if got.Draws != 1 || got.Neither.Mean != 0 || len(got.Matters) != 0 {
			t.Errorf("%v: %+v", c, got)
		}
		approx(t, "arrival", float64(got.Runs[Left].Arrival.Mean), c.a+float64(after), 1e-9)
	}
}
