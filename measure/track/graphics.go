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

// Limits of the look ahead for graphics.
const (
	// lookedAt frames over the whole take are compared with each other.
	lookedAt = 14
	// samePixel is by how much, in grey levels, a pixel of a graphic may differ from
	// one frame to another: noise and compression.
	samePixel = 9
	// sameShare of a cell's edges must stay so, in stayShare of the frames.
	sameShare, stayShare = 0.9, 0.8
	// edgePixel is the difference of neighbours, in grey levels, that makes an edge.
	edgePixel = 16
	// leastEdges is how many edges make a cell worth asking.
	leastEdges = 10
	// movingShare of all cells with edges must change, and most of them in
	// movingBlocks of the blocks into which the picture is cut: else it is people who
	// move before a camera that stands still, and what stays tells nothing.
	movingShare, movingBlocks = 0.4, 0.75
	blockCols, blockRows      = 6, 4
	// leastTextured cells make a block worth asking.
	leastTextured = 4
)

// lookAhead marks the cells whose edges stay where they are while most others change.
// frames are pictures of one size, spread over the take.
func (g *graphics) lookAhead(frames []*image.Gray) {
	if len(frames) < 4 {
		return
	}
	r := frames[0].Rect
	g.over(r)
	n := len(g.votes)
	asked, stayed := make([]int, n), make([]int, n)
	for k := 1; k < len(frames); k++ {
		edges, same := make([]int, n), make([]int, n)
		g.compare(frames[k-1], frames[k], edges, same)
		if moving, blocks := g.moved(edges, same); moving < movingShare || blocks < movingBlocks {
			continue // here the camera stood still
		}
		for c := range n {
			if edges[c] >= leastEdges {
				asked[c]++
				if float64(same[c]) >= sameShare*float64(edges[c]) {
					stayed[c]++
				}
			}
		}
	}
	for c := range n {
		if asked[c] >= 3 && float64(stayed[c]) >= stayShare*float64(asked[c]) {
			g.votes[c] = graphicVotes
		}
	}
}

// compare counts the edges of each cell of one frame, and how many of them stand
// where they stood in the other.
func (g *graphics) compare(a, b *image.Gray, edges, same []int) {
	clear(edges)
	clear(same)
	w, h := a.Rect.Dx(), a.Rect.Dy()
	for y := 0; y < h; y++ {
		rowA, rowB := a.Pix[y*a.Stride:][:w], b.Pix[y*b.Stride:][:w]
		for x := 1; x < w; x++ {
			if d := int(rowA[x]) - int(rowA[x-1]); d < edgePixel && d > -edgePixel {
				continue
			}
			c := y/cellSide*g.w + x/cellSide
			edges[c]++
			if d, e := int(rowA[x])-int(rowB[x]), int(rowA[x-1])-int(rowB[x-1]); d < samePixel && d > -samePixel && e < samePixel && e > -samePixel {
				same[c]++
			}
		}
	}
}

// moved is the share of the cells with edges that changed, and of the blocks in which
// most of them did. Both are 0 where there is nothing to ask.
func (g *graphics) moved(edges, same []int) (cells, blocks float64) {
	textured, moving := 0, 0
	var inBlock, movingIn [blockCols * blockRows]int
	for c := range edges {
		if edges[c] < leastEdges {
			continue
		}
		b := c/g.w*blockRows/g.h*blockCols + c%g.w*blockCols/g.w
		textured++
		inBlock[b]++
		if float64(same[c]) < sameShare*float64(edges[c]) {
			moving++
			movingIn[b]++
		}
	}
	all, most := 0, 0
	for b, n := range inBlock {
		if n < leastTextured {
			continue
		}
		all++
		if 2*movingIn[b] > n {
			most++
		}
	}
	if textured == 0 || all == 0 {
		return 0, 0
	}
	return float64(moving) / float64(textured), float64(most) / float64(all)
}

// stands reports whether the camera stood still between two frames: in half of the
// blocks and more most edges are where they were. A graphic does not fill as many.
func (g *graphics) stands(a, b *image.Gray) bool {
	if g.edges == nil {
		g.edges, g.same = make([]int, len(g.votes)), make([]int, len(g.votes))
	}
	g.compare(a, b, g.edges, g.same)
	cells, blocks := g.moved(g.edges, g.same)
	return blocks <= 0.5 && (cells > 0 || blocks > 0)
}

// graphics finds what is fixed in the picture while the background moves, such as
// the score and the clock of a broadcast.
type graphics struct {
	w, h  int // in cells
	votes []int
	wide  image.Rectangle
	edges []int // room for stands
	same  []int
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
