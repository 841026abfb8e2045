package mesure_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"mesure/demo"
	"mesure/quantity"
	"mesure/show/chart"
	"mesure/show/plate"
)

// methodsTouches is how many touches stand behind each row of the table in which the
// simulation differs from what the predictions suppose.
const methodsTouches = 800

// differences are those rows.
var differences = []struct {
	what string
	how  demo.Difference
}{
	{"all lines are level", demo.Difference{Level: true}},
	{"the speed of movements peaks at 42 % of their time, not at half", demo.Difference{Early: 0.15}},
	{"who is quick in one thing is quick in all (correlation 0.6)", demo.Difference{OneBody: 0.6}},
	{"half of the variance of a reaction lies in a late tail", demo.Difference{LateTail: 0.5}},
	{"every attack takes a tenth less time than the defaults say", demo.Difference{QuickAttack: 0.1}},
	{"the camera errs twice as much as it states", demo.Difference{Noisier: 1}},
	{"a hand that stands still does not keep its point on the line, and targets have no size", demo.Difference{Stiff: true}},
}

// TestMethodsStateReliability holds the tables of reliability in doc/methods.md against
// the simulation of demo. Run with -update after a change and read the difference.
func TestMethodsStateReliability(t *testing.T) {
	r := demo.Reliable(demo.ReliabilityOptions{Seed: 1})
	var b strings.Builder
	fmt.Fprintf(&b, "%d chances predicted for %d simulated touches: expected calibration error %.3f (%.3f by luck alone), Brier score %.3f (%.3f of one who knows how often each kind of event comes true).\n\n",
		r.N, r.Touches, r.ECE, r.ECEByLuck, r.Brier, r.BrierOfShares)
	b.WriteString("| predicted | chances | mean predicted | came true | 95 % |\n|---|---|---|---|---|\n")
	for _, bin := range r.Bins {
		fmt.Fprintf(&b, "| %.1f to %.1f | %d | %.3f | %.3f | %.3f to %.3f |\n", bin.From, bin.To, bin.N, bin.Predicted, bin.Observed, bin.Lo, bin.Hi)
	}
	b.WriteString("\n| kind of event | calibration error | by luck | Brier score | of shares |\n|---|---|---|---|---|\n")
	for _, k := range r.Kinds {
		fmt.Fprintf(&b, "| %s | %.3f | %.3f | %.3f | %.3f |\n", k.Kind, k.ECE, k.ECEByLuck, k.Brier, k.BrierOfShares)
	}
	fmt.Fprintf(&b, "\n| where the simulated fencers or the camera differ, %d touches each | calibration error | by luck | Brier score | worst kind |\n|---|---|---|---|---|\n", methodsTouches)
	for _, d := range differences {
		r := demo.Reliable(demo.ReliabilityOptions{Seed: 1, Touches: methodsTouches, Differs: d.how})
		worst := r.Kinds[0]
		for _, k := range r.Kinds {
			if k.ECE > worst.ECE {
				worst = k
			}
		}
		fmt.Fprintf(&b, "| %s | %.3f | %.3f | %.3f | %s, %.3f |\n", d.what, r.ECE, r.ECEByLuck, r.Brier, worst.Kind, worst.ECE)
	}
	holdFile(t, "doc/reliability.svg", reliabilityPicture(t, r))
	holdPart(t, "doc/methods.md", "<!-- reliability -->\n", "<!-- end of reliability -->", b.String())
}

// reliabilityPicture is the picture of the methods.
func reliabilityPicture(t *testing.T, r demo.Reliability) string {
	t.Helper()
	c := chart.Calibration{Of: fmt.Sprintf("lamps and answers in time of %s simulated touches", plate.Count(r.Touches)),
		Source: "mesure demo, reliability.json", N: r.N,
		Brier: quantity.Ratio(r.Brier), ECE: quantity.Ratio(r.ECE), ECEByLuck: quantity.Ratio(r.ECEByLuck)}
	for _, b := range r.Bins {
		c.Bins = append(c.Bins, chart.ReliabilityBin{N: b.N, Predicted: quantity.Chance(b.Predicted), Observed: quantity.Of[quantity.Chance]{
			Mean: quantity.Chance(b.Observed), SD: quantity.Chance(b.Hi-b.Lo) / (2 * 1.959963984540054), Lo: quantity.Chance(b.Lo), Hi: quantity.Chance(b.Hi)}})
	}
	d, err := chart.Reliability(c, chart.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := d.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// holdFile holds a whole file, or writes it.
func holdFile(t *testing.T, path, want string) {
	t.Helper()
	have, err := os.ReadFile(path)
	if err != nil && !*update {
		t.Fatal(err)
	}
	switch {
	case string(have) == want:
	case !*update:
		t.Errorf("%s does not show what the code does: run go test . -run Methods -update and look at it", path)
	default:
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// holdPart holds what stands between two markers of a page, or writes it.
func holdPart(t *testing.T, page, start, end, want string) {
	t.Helper()
	have, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(have), start)
	old, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no %q with its end", page, strings.TrimSpace(start))
	}
	if old == want {
		return
	}
	if !*update {
		t.Errorf("%s does not state what the code does: run go test . -run Methods -update and read the difference", page)
		return
	}
	if err := os.WriteFile(page, []byte(before+start+want+end+after), 0o644); err != nil {
		t.Fatal(err)
	}
}
