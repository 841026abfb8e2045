package summary

import (
	"bytes"
	"encoding/json"
	"flag"
	"math/rand/v2"
	"os"
	"reflect"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// timingFile is the timing of the invented reading that the tests of show, bundle and
// cmd share: every part is there, from the formulas of package timing over invented
// inputs. It is written by TestTheTimingThatTestsShare with -update.
const timingFile = "../testdata/timing.json"

// shared is what timingFile holds.
type shared struct {
	Timing   *study.Timing
	Profiles [2]study.Profile
}

func normal[U quantity.Unit](mean, sd U) quantity.Of[U] { return quantity.Normal(mean, sd) }

// must hands through what the formulas accept.
func must[T any](t *testing.T) func(T, error) T {
	return func(x T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

func luck(n uint64) *rand.PCG { return rand.NewPCG(1, n) }

const someDraws = 2000

// wholeTiming makes a timing with every part, of the frame from which the invented
// reading runs its race.
func wholeTiming(t *testing.T) shared {
	t.Helper()
	at := study.At{Take: "live", Frame: 42}
	race := invented(t).Race
	app := timing.Apparatus{Window: 0.045, Tolerance: 0.005, ContactMin: 0.002, ContactMax: 0.010}
	x := &study.Timing{At: at, Moment: "launch", Instant: quantity.Uniform[quantity.Seconds](1.64, 1.68), Race: race,
		Attacker: mark.Left, AttackerWhy: "left’s hand starts first, in 97 of 100 draws"}

	lunge := must[timing.Movement](t)(timing.Default(timing.Lunge, "", ""))
	ex := timing.Exchange{Attack: timing.NewAttack(normal[quantity.Metres](0.917, 0.05), lunge), Defence: timing.NewDefence(normal[quantity.Metres](0.80, 0.05))}
	ex.Defence.TargetOnArm = 1
	closer, err := timing.Change{Side: timing.Left, Closer: 0.05}.Exchange(ex)
	if err != nil {
		t.Fatal(err)
	}
	both := must[[]timing.Windows](t)(ex.WhatIf(app, someDraws, luck(1), closer))
	windows := func(w timing.Windows, ex timing.Exchange, finding string) *study.Windows {
		return &study.Windows{Windows: w, Exchange: ex, AttackAction: timing.Lunge, AttackTarget: mark.Forearm, AnswerTarget: mark.Hand,
			Travel: []quantity.Metres{0, 0.001, 0.004}, Deciding: timing.ParryCircular, Finding: finding,
			Matters: []study.Matter{{Name: "right's reaction", Share: 0.61, Mend: "give the fencer's own reaction"}, {Name: "gap of left's point to the forearm", Share: 0.22, Mend: "mark left's point again under the loupe"}}}
	}
	x.Windows = windows(both[0], ex, "Right still had time for a lateral parry, and no longer for a circular one")
	change := study.Change{Who: mark.Left, Closer: 0.05}
	then := *race
	then.LeftOnly.Mean, then.RightOnly.Mean, then.Margin.Mean = race.LeftOnly.Mean+0.03, race.RightOnly.Mean-0.03, race.Margin.Mean+0.011
	x.WhatIf = &study.WhatIf{Change: change, Race: &then, Windows: windows(both[1], closer, "Both 5 cm closer, only the extension for a double is left"),
		Finding: "5 cm closer, the lateral parry loses 9 of 100"}

	grid := timing.Grid{GapFrom: 0.2, GapTo: 2.0, Gaps: 10, LeadFrom: -0.1, LeadTo: 0.5, Leads: 7}
	m := must[timing.DistanceMap](t)(ex.Map(app, grid, someDraws, luck(2)))
	path := must[[]timing.Stop](t)(m.Path([]timing.Instant{
		{Name: "launch", At: x.Instant, Gap: normal[quantity.Metres](0.917, 0.05), Lead: normal[quantity.Seconds](0.31, 0.04)},
		{Name: "hit", At: quantity.Uniform[quantity.Seconds](2.0, 2.04), Gap: normal[quantity.Metres](0.15, 0.04), Lead: normal[quantity.Seconds](0.31, 0.04)},
	}))
	x.Map = &study.Map{DistanceMap: m, Attacker: mark.Left, Target: mark.Forearm, Path: path, Here: 0, Reach: timing.DefaultReach(), Finding: "The touch goes from the double into the zone where the attack outruns the parry"}
	x.Parry = wholeParry(t, at)
	x.Commits = wholeCommits(t)
	x.Started = wholeStart(t)
	x.Notes = []study.Note{
		{ID: "hand-before-foot-left-live-42", Kind: study.NoteHandBeforeFoot, Who: mark.Left, At: at, Weight: 0.8,
			Text: "Left’s hand starts 60 ± 16 ms before the front foot.", Reference: "The hand goes before the foot (common practice, no source)."},
		{ID: "body-over-front-foot-right-live-42", Kind: study.NoteOverFront, Who: mark.Right, At: at, Weight: 0.5, Dismissed: true,
			Text: "Right’s body runs over the front foot.", Reference: "The catching point of an inverted pendulum (Hof 2005)."},
	}
	x.Lacks = []study.Lack{{Part: study.PartCommit, Side: mark.Right, Why: "the rear toe of right was not followed", Mend: "mark it on two frames and follow"}}
	return shared{x, wholeProfiles()}
}

// places are two blades and a zone, with the attacker's hand so far away and the
// defender's blade pushed out by so much.
func places(hand, push float64) quantity.Joint {
	return quantity.Independent([]float64{
		-hand, 0, 1.25, 0.88 - hand, 0.02 + push, 1.26, // attacker
		-0.45, -0.15 + push, 1.15, -1.25, -0.06 + push, 1.40, // defender
		0, 0, 1.00, 0, 0, 1.45, // trunk
		-0.47, 0.05, 1.20, // aim
	}, []float64{
		.02, .05, .02, .02, .05, .02, .02, .05, .02, .02, .05, .02, .02, .03, .02, .02, .03, .02, .02, .03, .02,
	})
}

func wholeParry(t *testing.T, at study.At) *study.ParryReading {
	t.Helper()
	before := timing.Parry{Places: places(1.3, 0), Radius: normal[quantity.Metres](0.15, 0.01), Margin: timing.ParryMargin}
	after := before
	after.Places = places(1.1, 0.22)
	asked := must[timing.Asked](t)(before.Ask(someDraws, luck(3)))
	// The blades of this state are apart; what yielding would need is set by hand.
	asked.Ceding = &timing.Ceding{OnAttacker: normal[quantity.Metres](0.5, 0.02), OnDefender: normal[quantity.Metres](0.55, 0.02),
		Leverage: normal[quantity.Ratio](0.9, 0.06), Needed: true, To: asked.Best.Meeting}
	hit := before
	hit.Places = places(0.88, 0)
	atHit := must[timing.Asked](t)(hit.Ask(someDraws, luck(6)))
	judged := must[timing.Judged](t)(timing.Judge(before, after, someDraws, luck(4)))
	wait := normal[quantity.Seconds](0.08, 0.012)
	way := func(hit quantity.Seconds) timing.RiposteWay {
		p := func(x quantity.Chance) quantity.Of[quantity.Chance] {
			return quantity.FromCounts(int(x*someDraws), someDraws)
		}
		return timing.RiposteWay{Hit: normal(hit, 0.03), Remise: normal[quantity.Seconds](0.29, 0.04), Arrives: p(0.97), RemiseArrives: p(0.6), RiposteOnly: p(0.7), RemiseOnly: p(0.1), Both: p(0.18), Neither: p(0.02), Delay: normal[quantity.Seconds](0.05, 0.04)}
	}
	return &study.ParryReading{
		Defender: mark.Right, Zone: mark.Chest, Parry: before, Asked: asked, AtHit: &atHit, Kind: timing.ParryLateral,
		Course: []study.ParryStep{
			{HandToZone: asked.HandToZone, Turn: asked.Smallest, Path: asked.Best.Path, Travel: asked.Best.Travel, Sweep: asked.Best.Sweep},
			{Closed: normal[quantity.Metres](0.42, 0.05), HandToZone: atHit.HandToZone, Turn: atHit.Smallest},
		},
		Time: normal[quantity.Seconds](0.171, 0.031), Usual: normal[quantity.Seconds](0.16, 0.03),
		Finding: "A parry of 6 ± 2° is enough from here, forte on foible",
		Observed: &study.ObservedParry{Action: "a2", From: at, To: study.At{Take: "live", Frame: 47}, Judged: judged,
			Finding: "Right’s parry was larger than needed", HandPath: normal[quantity.Metres](0.27, 0.03), RiposteAfter: &wait},
		Riposte: &study.Riposte{Finding: "The direct riposte lights alone in 70 of 100", Target: mark.Chest, Seen: true, Result: timing.Riposte{Direct: way(0.2), AlongTheBlade: way(0.23), Indirect: way(0.27), Draws: someDraws}},
	}
}

func wholeCommits(t *testing.T) (all [2]*study.Commit) {
	t.Helper()
	foot := func(at quantity.Metres, floor quantity.Chance) timing.Foot {
		f := timing.Foot{At: normal(at, 0.02), OnFloor: floor}
		if floor < 0.5 {
			f.Lands = normal[quantity.Seconds](0.22, 0.04)
		}
		return f
	}
	for s, stance := range [2]timing.Stance{
		{Front: foot(0.5, 0.03), Rear: foot(0, 0.99), Hip: normal[quantity.Metres](0.3, 0.03), Speed: normal[quantity.MetresPerSecond](1.1, 0.15), Height: 0.85},
		{Front: foot(0.45, 0.98), Rear: foot(0, 0.99), Hip: normal[quantity.Metres](0.2, 0.03), Speed: normal[quantity.MetresPerSecond](-0.1, 0.15), Height: 0.9},
	} {
		all[s] = &study.Commit{Commitment: must[timing.Commitment](t)(timing.Commit(stance)), Stance: stance, Base: normal[quantity.Metres](0.5, 0.028),
			Finding: [2]string{"Left’s front foot is in the air: the arm is free, the way back is not before 220 ms", "Right stands on both feet and can do anything"}[s]}
	}
	return all
}

func wholeStart(t *testing.T) *study.Started {
	t.Helper()
	starts := []timing.Start{
		{Side: 1, Part: "hand", Time: quantity.Uniform[quantity.Seconds](1.72, 1.76), Uniform: true},
		{Side: 0, Part: "hand", Time: quantity.Uniform[quantity.Seconds](1.60, 1.64), Uniform: true},
		{Side: 0, Part: "front-foot", Time: quantity.Uniform[quantity.Seconds](1.66, 1.70), Uniform: true},
	}
	lag := must[timing.Lag](t)(timing.HandToFoot(starts[1], starts[2]))
	speed, tempi := normal[quantity.MetresPerSecond](0.8, 0.1), normal[quantity.Ratio](1.6, 0.2)
	out := &study.Started{
		Order: must[timing.Order](t)(timing.StartOrder(starts, someDraws, luck(5))), Lags: [2]*timing.Lag{&lag, nil},
		Tempo:   [2]quantity.Of[quantity.Seconds]{normal[quantity.Seconds](0.23, 0.04), normal[quantity.Seconds](0.24, 0.04)},
		Finding: "Left’s hand starts first, into right’s advance",
		Launch: &study.Launch{Who: mark.Left, At: starts[1].Time, Take: "live", By: 42, Into: study.LaunchIntoAdvance, Chance: 0.86, OppSpeed: &speed, Tempi: &tempi,
			Finding: "Left launches into right’s step forward"},
	}
	for i, s := range starts {
		out.Starts = append(out.Starts, study.StartOf{Start: s, Take: "live", By: [3]mark.Frame{44, 41, 42}[i], Kind: [3]string{"starts", "starts", "lifts"}[i],
			Moment: [3]string{"", "launch", ""}[i], Proposal: [3]string{"live-right-hand-starts-1", "", "live-left-front-foot-lifts-1"}[i]})
	}
	return out
}

func wholeProfiles() (all [2]study.Profile) {
	lunge, _ := timing.Default(timing.Lunge, "", "")
	for _, s := range mark.Sides {
		all[s].Who = s
		for i, own := range bout.OwnFigures() {
			f := study.ProfileFigure{Name: own.Name, From: study.FromDefault, Source: "common practice, no source"}
			mean := own.Least + (own.Most-own.Least)/4
			if own.Unit == "m" {
				q := normal(quantity.Metres(mean), quantity.Metres(own.Most/40))
				f.Metres = &q
			} else {
				q := normal(quantity.Seconds(mean), quantity.Seconds(own.Most/40))
				f.Seconds = &q
			}
			if i == 1 && s == mark.Left {
				prior := normal[quantity.Seconds](0.23, 0.04)
				f.From, f.Source, f.PriorSeconds = study.FromFitted, "this touch, take live, frames 38 to 46", &prior
			}
			if i == 2 {
				f.From, f.Source = study.FromStated, "stated by the coach"
			}
			all[s].Figures = append(all[s].Figures, f)
		}
	}
	all[mark.Left].Fits = []study.Fit{{Action: timing.Extension, Take: "live", From: 38, To: 46, SeenArm: 0.9, Unlike: 0.4, Widened: 1, Uses: []string{"extension", "extension-time"}, RMS: 0.012, Onset: normal[quantity.Seconds](1.615, 0.008), Fitted: lunge, Prior: lunge,
		Data: []study.FitPoint{{At: 0, Travel: 0.01, SD: 0.02}, {At: 0.04, Travel: 0.05, SD: 0.02}}, Curve: []study.FitPoint{{At: 0, Travel: 0}, {At: 0.04, Travel: 0.04}}}}
	return all
}

// TestTheTimingThatTestsShare writes the file with -update, and holds that it has
// every part and nothing that the types have no longer. Its numbers need not be those
// that the formulas give today.
func TestTheTimingThatTestsShare(t *testing.T) {
	if *update {
		b, err := json.MarshalIndent(wholeTiming(t), "", " ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(timingFile, append(b, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(timingFile)
	if err != nil {
		t.Fatal(err)
	}
	var x shared
	strict := json.NewDecoder(bytes.NewReader(b))
	strict.DisallowUnknownFields()
	if err := strict.Decode(&x); err != nil {
		t.Fatalf("%s: %v: run with -update", timingFile, err)
	}
	v := reflect.ValueOf(*x.Timing)
	for i := range v.NumField() {
		if v.Field(i).IsZero() && v.Type().Field(i).Name != "Attacker" { // left is zero
			t.Errorf("%s lacks %s", timingFile, v.Type().Field(i).Name)
		}
	}
}

// timed is the invented reading with its timing, from the file.
func timed(t *testing.T) *study.Reading {
	t.Helper()
	b, err := os.ReadFile(timingFile)
	if err != nil {
		t.Fatal(err)
	}
	var x shared
	if err := json.Unmarshal(b, &x); err != nil {
		t.Fatal(err)
	}
	r := invented(t)
	r.Timing, r.Profiles = x.Timing, x.Profiles
	return r
}
