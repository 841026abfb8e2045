package track

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"mesure/sport/mark"
)

// pans is a coffee cup (scikit-image, CC0) seen by a camera that turns and zooms, with
// a patch that moves otherwise, and what OpenCV 4.6.0 made of the matches
// (cv2.findHomography, RANSAC 1.5 px): testdata/pan_ransac.json.
type pans struct {
	Grid  [][2]float64 `json:"check_grid"`
	Pairs []struct {
		From  int           `json:"frm"`
		To    int           `json:"to"`
		True  [3][3]float64 `json:"true_H"`
		Patch int           `json:"n_on_moving_patch"`
		CV    struct {
			Most float64 `json:"grid_err_px_max"`
		} `json:"opencv_ransac"`
		All struct {
			Most float64 `json:"grid_err_px_max"`
		} `json:"opencv_all_points_least_squares"`
		Matches [][4]float64 `json:"matches"`
	} `json:"pairs"`
}

func readPans(t *testing.T) pans {
	t.Helper()
	raw, err := os.ReadFile("testdata/pan_ransac.json")
	if err != nil {
		t.Fatal(err)
	}
	var p pans
	if err := json.Unmarshal(raw, &p); err != nil {
		t.Fatal(err)
	}
	if len(p.Pairs) != 7 {
		t.Fatal("the reference is not whole")
	}
	return p
}

func matchesOf(rows [][4]float64) []Match {
	var all []Match
	for _, r := range rows {
		all = append(all, Match{mark.Pixel{U: r[0], V: r[1]}, mark.Pixel{U: r[2], V: r[3]}})
	}
	return all
}

// against holds a turn against the true one: the greatest error over a grid, in
// pixels, and how many of the matches that it believes move otherwise.
func against(rows [3][3]float64, grid [][2]float64, turn *Turn, matches []Match) (most float64, patch int) {
	truth := [9]float64{}
	for i := range 9 {
		truth[i] = rows[i/3][i%3]
	}
	for _, g := range grid {
		at := mark.Pixel{U: g[0], V: g[1]}
		u, v, _ := through(truth, at)
		got := turn.At(at)
		most = math.Max(most, math.Hypot(got.U-u, got.V-v))
	}
	for _, i := range turn.Inliers {
		if apart2(truth, matches[i]) > 2.5*2.5 {
			patch++
		}
	}
	return most, patch
}

// TestTurnAgainstOpenCV: check 8.6: the error over a grid is at most one and a half
// times OpenCV's, and at most two points of the moving patch are believed.
func TestTurnAgainstOpenCV(t *testing.T) {
	p := readPans(t)
	given := 0
	for _, pair := range p.Pairs {
		matches := matchesOf(pair.Matches)
		if len(matches) == 0 {
			continue // only the pictures are given: the next test follows them
		}
		given++
		turn, err := FindTurn(matches, rand.NewPCG(1, 1))
		if err != nil {
			t.Fatalf("%d to %d: %v", pair.From, pair.To, err)
		}
		most, patch := against(pair.True, p.Grid, turn, matches)
		t.Logf("%d to %d: %.2f px (OpenCV %.2f, all points %.2f), %d of %d explained, %d of the patch, RMS %.2f", pair.From, pair.To, most, pair.CV.Most, pair.All.Most, len(turn.Inliers), len(matches), patch, turn.RMS)
		if most > 1.5*pair.CV.Most {
			t.Errorf("%d to %d: off by %.2f px, OpenCV by %.2f", pair.From, pair.To, most, pair.CV.Most)
		}
		if patch > 2 {
			t.Errorf("%d to %d: %d points of the patch are believed", pair.From, pair.To, patch)
		}
	}
	if given < 2 {
		t.Errorf("matches of %d pairs", given)
	}
}

// TestTurnFollowedOnPictures: corners followed from picture to picture give the turn
// that the camera made, the moving patch left out: the whole way, on the same pictures.
func TestTurnFollowedOnPictures(t *testing.T) {
	p := readPans(t)
	for _, pair := range p.Pairs {
		from, to := readPan(t, pair.From), readPan(t, pair.To)
		corners := Corners(from, CornerOptions{Apart: 6}) // the pictures are small
		var matches []Match
		for i, f := range Follow(NewPyramid(from, 0), NewPyramid(to, 0), corners, nil, FollowOptions{BothWays: true}) {
			if f.Lost == Kept {
				matches = append(matches, Match{corners[i], f.At})
			}
		}
		turn, err := FindTurn(matches, rand.NewPCG(1, 1))
		if err != nil {
			t.Fatal(err)
		}
		most, patch := against(pair.True, p.Grid, turn, matches)
		t.Logf("%d to %d: %.2f px (OpenCV %.2f) from %d of %d, %d of the patch", pair.From, pair.To, most, pair.CV.Most, len(turn.Inliers), len(matches), patch)
		if most > 2*pair.CV.Most {
			t.Errorf("%d to %d: off by %.2f px, OpenCV by %.2f", pair.From, pair.To, most, pair.CV.Most)
		}
		if patch > 2 {
			t.Errorf("%d to %d: %d points of the patch are believed", pair.From, pair.To, patch)
		}
	}
}

func readPan(t *testing.T, n int) Plane {
	return readPlane(t, "testdata/img/pan_"+string(rune('0'+n))+".png")
}

// turned makes matches by a known turn, with noise, and some that go elsewhere.
func turned(rng *rand.Rand, n int, wrong, noise float64) ([9]float64, []Match) {
	h := [9]float64{1.02, 0.004, -31, -0.006, 1.01, 4.5, -2e-5, 5e-6, 1}
	var all []Match
	for range n {
		p := mark.Pixel{U: rng.Float64() * 1280, V: rng.Float64() * 720}
		u, v, _ := through(h, p)
		if rng.Float64() < wrong {
			u, v = u+20+30*rng.Float64(), v-10
		}
		all = append(all, Match{p, mark.Pixel{U: u + noise*rng.NormFloat64(), V: v + noise*rng.NormFloat64()}})
	}
	return h, all
}

// TestTurnOfHalfWrongMatches: the turn survives half of the matches going together
// another way, and is found exactly where there is no noise.
func TestTurnOfHalfWrongMatches(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, noise := range []float64{0, 0.3} {
		for range 20 {
			h, matches := turned(rng, 120, 0.45, noise)
			turn, err := FindTurn(matches, rand.NewPCG(1, 2))
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range []mark.Pixel{{U: 0, V: 0}, {U: 1279, V: 0}, {U: 640, V: 719}} {
				u, v, _ := through(h, p)
				got := turn.At(p)
				if d := math.Hypot(got.U-u, got.V-v); d > 1e-6+2*noise {
					t.Errorf("noise %v: off by %v px", noise, d)
				}
			}
		}
	}
}

// TestNoTurn: too few, random and crowded matches give no turn, and say so.
func TestNoTurn(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	var random, crowd, line []Match
	for range 60 {
		random = append(random, Match{mark.Pixel{U: rng.Float64() * 1280, V: rng.Float64() * 720}, mark.Pixel{U: rng.Float64() * 1280, V: rng.Float64() * 720}})
		x := rng.Float64() * 1000
		line = append(line, Match{mark.Pixel{U: x, V: 300}, mark.Pixel{U: x + 5, V: 300}})
	}
	_, crowd = turned(rng, 40, 1, 0)
	for i := range 20 { // all that goes together lies in one corner
		p := mark.Pixel{U: 20 + float64(i%5)*8, V: 20 + float64(i/5)*8}
		crowd = append(crowd, Match{p, mark.Pixel{U: p.U + 3, V: p.V}})
	}
	for i := range crowd[:40] {
		crowd[i].To.U += 400 * rng.Float64()
		crowd[i].To.V += 300 * rng.Float64()
	}
	for name, m := range map[string][]Match{"none": nil, "seven": random[:7], "random": random, "crowded": crowd, "on a line": line} {
		if turn, err := FindTurn(m, rand.NewPCG(1, 1)); !errors.Is(err, ErrNoTurn) {
			t.Errorf("%s: %+v, %v", name, turn, err)
		}
	}
}

func BenchmarkFindTurn(b *testing.B) {
	_, matches := turned(rand.New(rand.NewPCG(1, 1)), 200, 0.3, 0.2)
	for b.Loop() {
		if _, err := FindTurn(matches, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}
