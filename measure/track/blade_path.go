package track

import "math"

// fan is the angles at which a blade is looked for, on a fine and on a coarse grid,
// and the radii.
type fan struct {
	from   float64 // the first angle
	fine   float64 // step of the fine grid, in radians
	n      int     // fine angles
	group  int     // fine angles to a coarse one
	coarse float64 // step of the coarse grid
	m      int     // coarse angles
	most   float64 // length of the blade at most, in pixels
}

// Movements of a blade.
const (
	// fanSlack is how far beyond the angles of two marks a blade is looked for, and
	// onwardSlack the same about one.
	fanSlack    = 50 * math.Pi / 180
	onwardSlack = 90 * math.Pi / 180
	// liveTurn is the most that a blade turns from one live frame to the next.
	liveTurn = 26 * math.Pi / 180
	// liveSpur is the standard deviation of the change of that turn.
	liveSpur = 3.0 * math.Pi / 180
	// rayGain is how many times more likely, as a logarithm, a ray is that looks like a
	// line from end to end than one that does not.
	rayGain = 9.0
)

func newFan(from, to, most, slack, slow float64) fan {
	f := fan{most: most, group: 3, fine: 1 / most}
	if slow >= 2 {
		f.group = 1
	}
	f.coarse = f.fine * float64(f.group)
	f.m = int(math.Ceil((to-from+2*slack)/f.coarse)) + 1
	f.from = (from+to)/2 - float64(f.m-1)/2*f.coarse
	f.n = f.m * f.group
	return f
}

// at returns the angle in the middle of a coarse cell.
func (f *fan) at(i int) float64 {
	return f.from + f.fine*(float64(i*f.group)+float64(f.group-1)/2)
}

// pin is an angle that is known.
type pin struct{ angle, sd float64 }

// heading is what was found of the angle on one frame.
type heading struct {
	angle float64
	sd    float64 // of the angle, within the best hill
	mass  float64 // probability of that hill
}

// path finds how the angle went: the sum over all paths, forward and backward, gives
// the probability of each angle on each frame.
func (f *fan) path(views []view, pins map[int]pin, slow float64) []heading {
	most := max(2, int(math.Round(liveTurn/slow/f.coarse)))
	sd := max(liveSpur/slow/slow/f.coarse, 0.7)
	reach := min(2*most, int(math.Ceil(3*sd)))
	spur := make([]float64, reach+1)
	for k := range spur {
		spur[k] = math.Exp(-float64(k*k) / 2 / sd / sd)
	}
	turns := 2*most + 1
	seen := make([][]float64, len(views)) // likelihood of each angle
	for i := range views {
		e := make([]float64, f.m)
		for k := range e {
			e[k] = 1
			if views[i].score != nil {
				e[k] = math.Exp(rayGain * float64(views[i].score[k]-1))
			}
			if p, ok := pins[i]; ok {
				d := math.Remainder(f.at(k)-p.angle, 2*math.Pi) / p.sd
				e[k] *= math.Exp(-d*d/2) + 1e-12
			}
		}
		seen[i] = e
	}
	state := func() []float64 { return make([]float64, f.m*turns) }
	fwd := make([][]float64, len(views))
	// A state is an angle and the turn by which it was reached.
	for i := range views {
		cur := state()
		if i == 0 {
			for k := range f.m {
				for v := range turns {
					cur[k*turns+v] = seen[0][k]
				}
			}
		} else {
			f.spread(cur, fwd[i-1], spur, most, seen[i])
		}
		normalise(cur)
		fwd[i] = cur
	}
	out := make([]heading, len(views))
	bwd := state()
	for k := range bwd {
		bwd[k] = 1
	}
	chance := make([]float64, f.m)
	for i := len(views) - 1; ; i-- {
		for k := range f.m {
			sum := 0.0
			for v := range turns {
				sum += fwd[i][k*turns+v] * bwd[k*turns+v]
			}
			chance[k] = sum
		}
		normalise(chance)
		out[i] = f.heading(chance)
		if i == 0 {
			return out
		}
		before := state()
		f.gather(before, bwd, spur, most, seen[i])
		normalise(before)
		bwd = before
	}
}

// spread moves each state on by its own turn, changed a little.
func (f *fan) spread(to, from, spur []float64, most int, seen []float64) {
	turns := 2*most + 1
	reach := len(spur) - 1
	for k := range f.m {
		for v := range turns {
			p := from[k*turns+v]
			if p < tinyChance {
				continue
			}
			for w := max(0, v-reach); w <= min(turns-1, v+reach); w++ {
				j, ok := f.step(k, w-most)
				if ok {
					to[j*turns+w] += p * spur[max(v-w, w-v)] * seen[j]
				}
			}
		}
	}
}

// gather is spread looked at from the end.
func (f *fan) gather(before, after, spur []float64, most int, seen []float64) {
	turns := 2*most + 1
	reach := len(spur) - 1
	for k := range f.m {
		for w := range turns {
			j, ok := f.step(k, w-most)
			if !ok {
				continue
			}
			p := after[j*turns+w] * seen[j]
			if p < tinyChance {
				continue
			}
			for v := max(0, w-reach); v <= min(turns-1, w+reach); v++ {
				before[k*turns+v] += p * spur[max(v-w, w-v)]
			}
		}
	}
}

// tinyChance is a probability that is taken for none: it spares most of the work.
const tinyChance = 1e-9

func (f *fan) step(k, d int) (int, bool) {
	j := k + d
	return j, j >= 0 && j < f.m
}

func normalise(x []float64) {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	if sum <= 0 {
		for k := range x {
			x[k] = 1 / float64(len(x))
		}
		return
	}
	for k := range x {
		x[k] /= sum
	}
}

// hill is how far to both sides the best hill of probability goes.
const hill = 4 * math.Pi / 180

// heading returns mean, spread and mass of the highest hill.
func (f *fan) heading(chance []float64) heading {
	r := max(1, int(math.Round(hill/f.coarse)))
	top := 0
	for k, p := range chance {
		if p > chance[top] {
			top = k
		}
	}
	var mass, sum, square float64
	for d := -r; d <= r; d++ {
		if k, ok := f.step(top, d); ok {
			mass += chance[k]
			sum += chance[k] * float64(d)
			square += chance[k] * float64(d*d)
		}
	}
	mean := sum / mass
	return heading{angle: f.at(top) + mean*f.coarse, sd: f.coarse * math.Sqrt(max(0, square/mass-mean*mean)), mass: mass}
}
