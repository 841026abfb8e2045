package game

// The simplex method on a tableau. It is our own because the one of gonum
// v0.17.0, handed the same programs, stops with "singular" in about one of a
// thousand small games with equal payoffs and goes round for ever in some: tables
// of whole numbers, which coaches type, are full of ties. Tests hold the two
// against each other.

// Settings of the simplex method. Numbers of the tableau are of the size of one.
const (
	// zero is below what rounding leaves of a nought after some hundred pivots.
	zero = 1e-11
	// steepFor is how many pivots for each choice go by the steepest descent, which
	// is short but may go round in ties; those after them go by Bland's rule, which
	// is long and cannot.
	steepFor = 3
	// stopAfter is how many pivots for each choice there may be: reached only where
	// rounding misleads Bland's rule.
	stopAfter = 200
)

// tableau is the program: maximise Σz with Bz ≤ 1, z ≥ 0. A row for each choice
// of the maximiser, then the row of reduced costs; a column for each choice of
// the minimiser, then one slack for each row, then the right-hand side.
type tableau struct {
	m, n, width int
	v           []float64
	basis       []int // which column each row is solved for
}

// mixes returns both best mixes of a game with payoffs in [1, 2]. The column's is
// z/Σz; the row's are the shadow prices of the slacks, by duality. It reports
// whether it came to an end.
func mixes(m, n int, b func(i, j int) float64) (x, y []float64, ended bool) {
	t := &tableau{m: m, n: n, width: n + m + 1, basis: make([]int, m)}
	t.v = make([]float64, (m+1)*t.width)
	for i := range m {
		for j := range n {
			t.v[i*t.width+j] = b(i, j)
		}
		t.v[i*t.width+n+i] = 1
		t.v[i*t.width+n+m] = 1
		t.basis[i] = n + i
	}
	for j := range n {
		t.v[m*t.width+j] = -1
	}
	for step := 0; ; step++ {
		enter := t.enters(step >= steepFor*(m+n))
		if enter < 0 {
			ended = true
			break
		}
		leave := t.leaves(enter)
		if leave < 0 || step >= stopAfter*(m+n) {
			break
		}
		t.pivot(leave, enter)
	}
	x, y = make([]float64, m), make([]float64, n)
	for i, c := range t.basis {
		if c < n {
			y[c] = max(0, t.v[i*t.width+n+m])
		}
	}
	for i := range x {
		x[i] = max(0, t.v[m*t.width+n+i])
	}
	return x, y, ended && share(x) && share(y)
}

// enters returns the column that improves the sum: the steepest, or the first by
// Bland's rule (Math. Oper. Res. 2:103, 1977); −1 at the best.
func (t *tableau) enters(bland bool) int {
	best, at := -zero, -1
	for j, c := range t.v[t.m*t.width : (t.m+1)*t.width-1] {
		if c < best {
			best, at = c, j
			if bland {
				break
			}
		}
	}
	return at
}

// leaves returns the row that bounds a column first; of equals the one solved
// for the first column. −1 where nothing bounds it, which positive payoffs rule
// out.
func (t *tableau) leaves(enter int) int {
	at, least := -1, 0.0
	for i := range t.m {
		p := t.v[i*t.width+enter]
		if p <= zero {
			continue
		}
		r := t.v[i*t.width+t.width-1] / p
		switch {
		case at < 0 || r < least-zero:
		case r <= least+zero && t.basis[i] < t.basis[at]:
		default:
			continue
		}
		at, least = i, r
	}
	return at
}

// pivot solves one row for a column.
func (t *tableau) pivot(row, column int) {
	own := t.v[row*t.width : (row+1)*t.width]
	p := own[column]
	for j := range own {
		own[j] /= p
	}
	own[column] = 1
	for i := range t.m + 1 {
		other := t.v[i*t.width : (i+1)*t.width]
		f := other[column]
		if i == row || f == 0 {
			continue
		}
		for j, v := range own {
			other[j] -= float64(f * v)
		}
		other[column] = 0
	}
	t.basis[row] = column
}

// share divides by the sum and reports whether there was one.
func share(mix []float64) bool {
	sum := 0.0
	for _, v := range mix {
		sum += v
	}
	if !(sum > 0) {
		return false
	}
	for i := range mix {
		mix[i] /= sum
	}
	return true
}
