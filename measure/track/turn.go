package track

import (
	"errors"
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Match is one point seen in two pictures.
type Match struct{ From, To mark.Pixel }

// Turn is how a picture changes when a camera turns and zooms and does not move: a
// homography of the image, the same for every point of the scene however far it is.
type Turn struct {
	// H maps (u, v, 1) of the first picture to the second, up to scale, row by row,
	// with H[8] = 1.
	H [9]float64
	// Inliers are the matches that it explains, by their place in the matches.
	Inliers []int
	// RMS of the distances of the inliers from where H puts them, in the second picture.
	RMS quantity.Pixels
}

// ErrNoTurn says that the matches allow no turn.
var ErrNoTurn = errors.New("too few points of the background go together: place the piste on this frame as well")

// Limits of FindTurn.
const (
	// TurnReach is how far from its place, in pixels, a match may lie that is explained:
	// four times what a followed corner wanders, with room for what one homography
	// leaves of a lens.
	TurnReach = 1.5
	// turnTries is how many times four matches are drawn at most; with half of all
	// matches wrong 72 suffice in 99 of 100 cases (1 − (1 − 0.5⁴)ⁿ).
	turnTries = 1000
	// turnSure is the chance to have drawn four sound matches at which drawing ends.
	turnSure = 0.9999
	// LeastMatches is how many explained matches make a turn believable: twice the four
	// that fix it.
	LeastMatches = 8
)

// FindTurn finds the turn that most matches agree on, whatever the others do: fencers
// and graphics that move otherwise than the background are left out. Four matches are
// drawn again and again and the turn that explains most is kept (RANSAC, Fischler &
// Bolles, Comm. ACM 24:381, 1981, with the truncated sum of squares of Torr &
// Zisserman, CVIU 78:138, 2000); the turn is then fitted to all that it explains by
// least squares of the distances, and they are looked for again until they stay.
//
// Equal matches and an equal source give an equal turn. Errors: ErrNoTurn where
// fewer than LeastMatches go together, or where they crowd so closely that the turn of
// the rest of the picture would be a guess.
func FindTurn(matches []Match, src rand.Source) (*Turn, error) {
	n := len(matches)
	if n < LeastMatches {
		return nil, ErrNoTurn
	}
	rng := rand.New(src)
	best, least := [9]float64{}, math.Inf(1)
	tries := turnTries
	for k := 0; k < tries; k++ {
		var four [4]Match
		var drawn [4]int
		for i := range four {
			for again := true; again; {
				drawn[i] = rng.IntN(n)
				again = false
				for _, other := range drawn[:i] {
					again = again || other == drawn[i]
				}
			}
			four[i] = matches[drawn[i]]
		}
		h, ok := exactly(four)
		if !ok {
			continue
		}
		cost, explained := 0.0, 0
		for _, m := range matches {
			d := apart2(h, m)
			if d < TurnReach*TurnReach {
				explained++
			}
			cost += math.Min(d, TurnReach*TurnReach)
		}
		if cost < least {
			best, least = h, cost
			if share := float64(explained) / float64(n); share > 0 && share < 1 {
				need := math.Log(1-turnSure) / math.Log(1-math.Pow(share, 4))
				tries = min(turnTries, max(k+1, int(math.Ceil(need))))
			} else if share == 1 {
				tries = k + 1
			}
		}
	}
	if math.IsInf(least, 1) {
		return nil, ErrNoTurn
	}
	in := within(best, matches)
	for range 10 {
		if len(in) < LeastMatches {
			return nil, ErrNoTurn
		}
		best = refined(best, matches, in)
		again := within(best, matches)
		same := len(again) == len(in)
		for i := 0; same && i < len(in); i++ {
			same = in[i] == again[i]
		}
		in = again
		if same {
			break
		}
	}
	if len(in) < LeastMatches || crowded(matches, in) {
		return nil, ErrNoTurn
	}
	sum := 0.0
	for _, i := range in {
		sum += apart2(best, matches[i])
	}
	return &Turn{H: best, Inliers: in, RMS: quantity.Pixels(math.Sqrt(sum / float64(len(in))))}, nil
}

// shift is the turn of a camera that stands still: at most a tremble, the same over the
// whole picture, the median of the matches. Their errors then cannot bend it where few
// of them are. ErrNoTurn where fewer than LeastMatches agree.
func shift(matches []Match) (*Turn, error) {
	u, v := make([]float64, len(matches)), make([]float64, len(matches))
	for i, m := range matches {
		u[i], v[i] = m.To.U-m.From.U, m.To.V-m.From.V
	}
	middle := func(x []float64) float64 {
		x = append([]float64(nil), x...)
		sort.Float64s(x)
		return x[len(x)/2]
	}
	if len(matches) < LeastMatches {
		return nil, ErrNoTurn
	}
	h := [9]float64{1, 0, middle(u), 0, 1, middle(v), 0, 0, 1}
	in, sum := within(h, matches), 0.0
	if len(in) < LeastMatches {
		return nil, ErrNoTurn
	}
	for _, i := range in {
		sum += apart2(h, matches[i])
	}
	return &Turn{H: h, Inliers: in, RMS: quantity.Pixels(math.Sqrt(sum / float64(len(in))))}, nil
}

// At returns where a point of the first picture is in the second.
func (t *Turn) At(p mark.Pixel) mark.Pixel {
	u, v, _ := through(t.H, p)
	return mark.Pixel{U: u, V: v}
}

func through(h [9]float64, p mark.Pixel) (u, v, w float64) {
	w = h[6]*p.U + h[7]*p.V + h[8]
	return (h[0]*p.U + h[1]*p.V + h[2]) / w, (h[3]*p.U + h[4]*p.V + h[5]) / w, w
}

// apart2 is the squared distance of a match from where h puts it; infinite for a
// point that h would put behind the camera.
func apart2(h [9]float64, m Match) float64 {
	u, v, w := through(h, m.From)
	if !(w > 0) {
		return math.Inf(1)
	}
	return (u-m.To.U)*(u-m.To.U) + (v-m.To.V)*(v-m.To.V)
}

func within(h [9]float64, matches []Match) []int {
	var in []int
	for i, m := range matches {
		if apart2(h, m) < TurnReach*TurnReach {
			in = append(in, i)
		}
	}
	return in
}

// exactly returns the homography through four matches, scaled so that the last entry
// is 1; false where three of the four lie near one line.
func exactly(four [4]Match) ([9]float64, bool) {
	for a := range 4 {
		b, c := (a+1)%4, (a+2)%4
		if flat(four[a].From, four[b].From, four[c].From) || flat(four[a].To, four[b].To, four[c].To) {
			return [9]float64{}, false
		}
	}
	var s [8][9]float64
	for i, m := range four {
		u, v, x, y := m.From.U, m.From.V, m.To.U, m.To.V
		s[2*i] = [9]float64{u, v, 1, 0, 0, 0, -u * x, -v * x, x}
		s[2*i+1] = [9]float64{0, 0, 0, u, v, 1, -u * y, -v * y, y}
	}
	// Gaussian elimination with the largest pivot of each column.
	for c := range 8 {
		p := c
		for r := c + 1; r < 8; r++ {
			if math.Abs(s[r][c]) > math.Abs(s[p][c]) {
				p = r
			}
		}
		if math.Abs(s[p][c]) < 1e-12 {
			return [9]float64{}, false
		}
		s[c], s[p] = s[p], s[c]
		for r := range 8 {
			if r == c {
				continue
			}
			f := s[r][c] / s[c][c]
			for k := c; k < 9; k++ {
				s[r][k] -= f * s[c][k]
			}
		}
	}
	h := [9]float64{8: 1}
	for c := range 8 {
		h[c] = s[c][8] / s[c][c]
	}
	return h, true
}

// flat reports whether three points lie so near one line that they say little across
// it: within three pixels of height.
func flat(a, b, c mark.Pixel) bool {
	area := math.Abs((b.U-a.U)*(c.V-a.V) - (b.V-a.V)*(c.U-a.U))
	side := math.Max(math.Hypot(b.U-a.U, b.V-a.V), math.Max(math.Hypot(c.U-a.U, c.V-a.V), math.Hypot(c.U-b.U, c.V-b.V)))
	return area < 3*side
}

// refined fits a homography to the explained matches by least squares of the
// distances in the second picture: Gauss–Newton on its eight free entries, with
// coordinates scaled to about one.
func refined(h [9]float64, matches []Match, in []int) [9]float64 {
	scale := 1.0
	for _, i := range in {
		scale = math.Max(scale, math.Max(math.Abs(matches[i].From.U), math.Abs(matches[i].From.V)))
	}
	// In scaled coordinates p' = p/scale on both sides: H' = S·H·S⁻¹.
	g := [9]float64{h[0], h[1], h[2] / scale, h[3], h[4], h[5] / scale, h[6] * scale, h[7] * scale, h[8]}
	for range 10 {
		normal, right := mat.NewSymDense(8, nil), mat.NewVecDense(8, nil)
		for _, i := range in {
			u, v := matches[i].From.U/scale, matches[i].From.V/scale
			x, y, w := through(g, mark.Pixel{U: u, V: v})
			for _, row := range [2]struct {
				j   [8]float64
				off float64
			}{
				{[8]float64{u / w, v / w, 1 / w, 0, 0, 0, -u * x / w, -v * x / w}, matches[i].To.U/scale - x},
				{[8]float64{0, 0, 0, u / w, v / w, 1 / w, -u * y / w, -v * y / w}, matches[i].To.V/scale - y},
			} {
				for a := range 8 {
					right.SetVec(a, right.AtVec(a)+row.j[a]*row.off)
					for b := a; b < 8; b++ {
						normal.SetSym(a, b, normal.At(a, b)+row.j[a]*row.j[b])
					}
				}
			}
		}
		var chol mat.Cholesky
		var step mat.VecDense
		if !chol.Factorize(normal) || chol.SolveVecTo(&step, right) != nil {
			break // as good as the matches allow
		}
		for a := range 8 {
			g[a] += step.AtVec(a)
		}
		if mat.Norm(&step, 2) < 1e-12 {
			break
		}
	}
	return [9]float64{g[0], g[1], g[2] * scale, g[3], g[4], g[5] * scale, g[6] / scale, g[7] / scale, g[8]}
}

// crowded reports whether the middle half of the explained matches lies closer
// together than a tenth of that of all, along either axis of the picture: the turn of
// the rest would be a guess.
func crowded(matches []Match, in []int) bool {
	all := make([]int, len(matches))
	for i := range all {
		all[i] = i
	}
	spread := func(pick []int, along func(mark.Pixel) float64) float64 {
		x := make([]float64, len(pick))
		for k, i := range pick {
			x[k] = along(matches[i].From)
		}
		sort.Float64s(x)
		return x[len(x)*3/4] - x[len(x)/4]
	}
	for _, along := range []func(mark.Pixel) float64{
		func(p mark.Pixel) float64 { return p.U },
		func(p mark.Pixel) float64 { return p.V },
	} {
		if spread(in, along) < spread(all, along)/10 {
			return true
		}
	}
	return false
}
