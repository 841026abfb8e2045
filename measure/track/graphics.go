package track

import (
	"image"
	"math"

	"mesure/sport/mark"
)

// Limits of the search for graphics.
const (
	// cellSide of the grid in which graphics are looked for, in pixels.
	cellSide = 16
	// stays is how far a point of a graphic may seem to move, in pixels, and moves
	// how far the background must have moved there for that to mean anything.
	stays, moves = 0.5, 2.0
	// graphicVotes is how many times a cell must be found to stay.
	graphicVotes = 6
)

// graphics finds what is fixed in the picture while the background moves, such as
// the score and the clock of a broadcast.
type graphics struct {
	w, h  int // in cells
	votes []int
	wide  image.Rectangle
}

// over says how large the picture is.
func (g *graphics) over(r image.Rectangle) {
	if g.votes == nil {
		g.w, g.h, g.wide = r.Dx()/cellSide+1, r.Dy()/cellSide+1, r
		g.votes = make([]int, g.w*g.h)
	}
}

// odd is told of a point that did not move with the background: from where, to
// where, and where the background went.
func (g *graphics) odd(from, to, ground mark.Pixel) {
	if g.votes == nil || math.Hypot(to.U-from.U, to.V-from.V) > stays || math.Hypot(ground.U-from.U, ground.V-from.V) < moves {
		return
	}
	if i, ok := g.cell(int(from.U), int(from.V)); ok {
		g.votes[i]++
	}
}

func (g *graphics) cell(u, v int) (int, bool) {
	x, y := u/cellSide, v/cellSide
	return y*g.w + x, u >= 0 && v >= 0 && x < g.w && y < g.h
}

// at reports whether a pixel lies on a graphic or beside one.
func (g *graphics) at(u, v int) bool {
	if g.votes == nil {
		return false
	}
	x, y := u/cellSide, v/cellSide
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if X, Y := x+dx, y+dy; X >= 0 && Y >= 0 && X < g.w && Y < g.h && g.votes[Y*g.w+X] >= graphicVotes {
				return true
			}
		}
	}
	return false
}

// boxes returns the graphics as boxes: cells that touch, or have one cell between
// them, make one.
func (g *graphics) boxes() []image.Rectangle {
	if g.votes == nil {
		return nil
	}
	seen := make([]bool, len(g.votes))
	var out []image.Rectangle
	for start := range g.votes {
		if seen[start] || g.votes[start] < graphicVotes {
			continue
		}
		seen[start] = true
		todo, box := []int{start}, image.Rectangle{}
		for len(todo) > 0 {
			c := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			x, y := c%g.w, c/g.w
			box = box.Union(image.Rect(x*cellSide, y*cellSide, (x+1)*cellSide, (y+1)*cellSide))
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					X, Y := x+dx, y+dy
					if X < 0 || Y < 0 || X >= g.w || Y >= g.h || seen[Y*g.w+X] || g.votes[Y*g.w+X] < graphicVotes {
						continue
					}
					seen[Y*g.w+X] = true
					todo = append(todo, Y*g.w+X)
				}
			}
		}
		out = append(out, box.Intersect(g.wide))
	}
	return out
}
