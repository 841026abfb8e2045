package plate

import (
	"image"
	imagedraw "image/draw"
	"math"
	"slices"

	"mesure/sport/mark"
)

// plane is a map of a picture onto another, by rows: the turn of a camera.
type plane [9]float64

func (m plane) of(p mark.Pixel) mark.Pixel {
	w := m[6]*p.U + m[7]*p.V + m[8]
	return mark.Pixel{U: (m[0]*p.U + m[1]*p.V + m[2]) / w, V: (m[3]*p.U + m[4]*p.V + m[5]) / w}
}

func (m plane) times(o plane) (out plane) {
	for r := range 3 {
		for c := range 3 {
			for k := range 3 {
				out[3*r+c] += m[3*r+k] * o[3*k+c]
			}
		}
	}
	return out
}

// inverse is false where the map flattens the picture.
func (m plane) inverse() (out plane, ok bool) {
	minor := func(a, b, c, d int) float64 { return m[a]*m[d] - m[b]*m[c] }
	out = plane{
		minor(4, 5, 7, 8), -minor(1, 2, 7, 8), minor(1, 2, 4, 5),
		-minor(3, 5, 6, 8), minor(0, 2, 6, 8), -minor(0, 2, 3, 5),
		minor(3, 4, 6, 7), -minor(0, 1, 6, 7), minor(0, 1, 3, 4),
	}
	det := m[0]*out[0] + m[1]*out[3] + m[2]*out[6]
	if det == 0 || det-det != 0 {
		return out, false
	}
	for i := range out {
		out[i] /= det
	}
	return out, true
}

// How fencers are told from the ground. The pictures are compared at a quarter of their
// size, which forgives a pixel of error of the camera's turn.
const (
	shrink = 4
	// Differences of brightness of 255 below the first are noise, above the second a
	// fencer; between them the ghost is half there.
	noise, differs = 14, 42
	// mostElse is the share of the picture away from the fencers that may differ: more
	// says that the camera moved otherwise than is known.
	mostElse = 0.25
	// leastGhosts are the fewest pictures of which the middle value is the ground.
	leastGhosts = 3
	// palest is the opacity of the earliest ghost, fullest that of the last but one.
	palest, fullest = 0.45, 0.85
)

// laid lays the fencers of the earlier pictures into the last. The second result is false
// where they cannot be told from the ground; the picture is then the last as it is.
func (q *Sequence) laid(images []image.Image) (image.Image, bool) {
	n := len(images)
	base := rgba(images[n-1])
	if n < leastGhosts {
		return base, false
	}
	b := base.Bounds()
	pics := make([]*image.RGBA, n)
	back := make([]plane, n) // from the last picture to each
	for i, m := range images {
		pics[i] = rgba(m)
		var ok bool
		if back[i], ok = q.turn[i].inverse(); !ok || pics[i].Bounds().Size() != b.Size() {
			return base, false
		}
	}
	// Pixels of the clip in one of the picture, which may be a still at half size.
	k := q.w / float64(b.Dx())
	w, h := b.Dx()/shrink, b.Dy()/shrink
	if w < 8 || h < 8 {
		return base, false
	}
	small := make([][]uint8, n)
	for i := range pics {
		small[i] = reduced(pics[i], back[i], k, w, h)
	}
	near, body := make([][]bool, n), make([][]bool, n)
	for i := range pics {
		near[i], body[i] = q.near(i, k, w, h), q.body(i, k, w, h)
	}
	ground := middle(small, body)
	mask := make([][]float32, n)
	other, away := 0, 0
	for i := range pics {
		mask[i] = difference(small[i], ground)
	}
	for at := range w * h {
		free := true
		for i := range n {
			free = free && !near[i][at]
		}
		if !free {
			continue
		}
		away++
		for i := range n {
			if mask[i][at] > 0.5 {
				other++
				break
			}
		}
	}
	if away == 0 || float64(other) > mostElse*float64(away) {
		return base, false
	}
	for i := range n {
		for at := range mask[i] {
			if !near[i][at] {
				mask[i][at] = 0
			}
		}
		mask[i] = softened(mask[i], w, h)
	}
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	imagedraw.Draw(out, out.Bounds(), base, b.Min, imagedraw.Src)
	for i := range n - 1 {
		opaque := palest
		if n > 2 {
			opaque += (fullest - palest) * float64(i) / float64(n-2)
		}
		layIn(out, pics[i], back[i], k, mask[i], mask[n-1], w, h, opaque)
	}
	return out, true
}

// rgba is a picture in plain bytes with its corner at nought.
func rgba(m image.Image) *image.RGBA {
	if r, ok := m.(*image.RGBA); ok && r.Rect.Min == (image.Point{}) {
		return r
	}
	b := m.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	imagedraw.Draw(out, out.Bounds(), m, b.Min, imagedraw.Src)
	return out
}

// reduced is a picture at a quarter of its size as the camera of the last frame would show
// it, three bytes a pixel; what lies outside is black with no say (see middle).
func reduced(m *image.RGBA, back plane, k float64, w, h int) []uint8 {
	out := make([]uint8, 3*w*h)
	for y := range h {
		for x := range w {
			u, v := sourceOf(back, k, float64(shrink*x)+shrink/2.0-0.5, float64(shrink*y)+shrink/2.0-0.5)
			x0, y0 := int(u)-1, int(v)-1
			if !(u >= 2) || !(v >= 2) || x0+shrink > m.Rect.Dx() || y0+shrink > m.Rect.Dy() {
				continue
			}
			var sum [3]int
			for dy := range shrink {
				row := m.Pix[(y0+dy)*m.Stride+4*x0:]
				for dx := range shrink {
					sum[0] += int(row[4*dx])
					sum[1] += int(row[4*dx+1])
					sum[2] += int(row[4*dx+2])
				}
			}
			for c := range 3 {
				out[3*(y*w+x)+c] = max(1, uint8(sum[c]/(shrink*shrink)))
			}
		}
	}
	return out
}

// sourceOf is where a pixel of the last picture lies in another one.
func sourceOf(back plane, k, x, y float64) (u, v float64) {
	// The picture's pixels are k of the clip wide; both count from the middle of the first.
	p := back.of(mark.Pixel{U: (x+0.5)*k - 0.5, V: (y+0.5)*k - 0.5})
	return (p.U+0.5)/k - 0.5, (p.V+0.5)/k - 0.5
}

// middle is the ground: the middle value of each byte over the pictures that show the
// place without a fencer before it, or over all that show it where each has one.
func middle(pics [][]uint8, body [][]bool) []uint8 {
	out := make([]uint8, len(pics[0]))
	var free, all [MostGhosts]uint8
	for at := range out {
		n, m := 0, 0
		for i, p := range pics {
			if p[at] == 0 {
				continue
			}
			all[m] = p[at]
			m++
			if !body[i][at/3] {
				free[n] = p[at]
				n++
			}
		}
		switch {
		case n > 0:
			slices.Sort(free[:n])
			out[at] = free[n/2]
		case m > 0:
			slices.Sort(all[:m])
			out[at] = all[m/2]
		}
	}
	return out
}

// difference is how surely each place of a picture is not the ground, 0 to 1.
func difference(pic, ground []uint8) []float32 {
	out := make([]float32, len(pic)/3)
	for at := range out {
		most := 0
		for c := range 3 {
			a, b := int(pic[3*at+c]), int(ground[3*at+c])
			if a == 0 || b == 0 {
				most = 0
				break
			}
			most = max(most, a-b, b-a)
		}
		out[at] = max(0, min(1, (float32(most)-noise)/(differs-noise)))
	}
	return out
}

// softened is the mask without specks and with soft edges: the greatest value near by,
// then the mean, so that a thin blade is kept whole.
func softened(m []float32, w, h int) []float32 {
	pass := func(m []float32, join func(a, b float32) float32, scale float32) []float32 {
		out := make([]float32, len(m))
		for y := range h {
			for x := range w {
				v, first := float32(0), true
				for dy := -1; dy <= 1; dy++ {
					for dx := -1; dx <= 1; dx++ {
						xx, yy := min(max(x+dx, 0), w-1), min(max(y+dy, 0), h-1)
						if first {
							v, first = m[yy*w+xx], false
							continue
						}
						v = join(v, m[yy*w+xx])
					}
				}
				out[y*w+x] = v * scale
			}
		}
		return out
	}
	grown := pass(m, func(a, b float32) float32 { return max(a, b) }, 1)
	return pass(grown, func(a, b float32) float32 { return a + b }, 1.0/9)
}

// near says which places lie by the fencers of one instant: in the box of the points of
// each with room for the free arm and the blade, so that a clock that runs or a spectator
// who moves does not become a ghost.
func (q *Sequence) near(i int, k float64, w, h int) []bool {
	out := make([]bool, w*h)
	for _, b := range q.at[i].Bodies {
		lo, hi := mark.Pixel{U: 1e9, V: 1e9}, mark.Pixel{U: -1e9, V: -1e9}
		n := 0
		for _, p := range b.Points {
			at := q.turn[i].of(p.At)
			if !finite(at) {
				continue
			}
			lo, hi = mark.Pixel{U: min(lo.U, at.U), V: min(lo.V, at.V)}, mark.Pixel{U: max(hi.U, at.U), V: max(hi.V, at.V)}
			n++
		}
		if n == 0 {
			continue
		}
		room := max(0.16*(hi.V-lo.V), 0.03*q.h)
		side := max(0.34*(hi.V-lo.V), 0.05*q.h) // the free arm reaches back
		s := k * shrink
		for y := max(0, int((lo.V-room)/s)); y <= min(h-1, int((hi.V+room/2)/s)); y++ {
			for x := max(0, int((lo.U-side)/s)); x <= min(w-1, int((hi.U+side)/s)); x++ {
				out[y*w+x] = true
			}
		}
	}
	return out
}

// bodyReach is how far from the lines between a fencer's points the body reaches, as a share
// of the height of the points.
const bodyReach = 0.13

// body says which places a fencer may cover at one instant: those by the lines between the
// points.
func (q *Sequence) body(i int, k float64, w, h int) []bool {
	out := make([]bool, w*h)
	s := k * shrink
	for _, b := range q.at[i].Bodies {
		at := map[mark.What]mark.Pixel{}
		top, low := 1e9, -1e9
		for _, p := range b.Points {
			if c := q.turn[i].of(p.At); finite(c) {
				at[p.What] = mark.Pixel{U: c.U / s, V: c.V / s}
				top, low = min(top, c.V/s), max(low, c.V/s)
			}
		}
		reach := max(1, bodyReach*(low-top))
		for j, bone := range bones {
			a, ok1 := at[bone[0]]
			c, ok2 := at[bone[1]]
			if !ok1 || !ok2 {
				continue
			}
			far := reach
			if j == 0 {
				far = 1.5 // a blade
			}
			for y := max(0, int(min(a.V, c.V)-far)); y <= min(h-1, int(max(a.V, c.V)+far)); y++ {
				for x := max(0, int(min(a.U, c.U)-far)); x <= min(w-1, int(max(a.U, c.U)+far)); x++ {
					if fromLine(float64(x), float64(y), a, c) <= far {
						out[y*w+x] = true
					}
				}
			}
		}
	}
	return out
}

// fromLine is how far a place is from a straight line between two others.
func fromLine(x, y float64, a, b mark.Pixel) float64 {
	du, dv := b.U-a.U, b.V-a.V
	t := 0.0
	if n := du*du + dv*dv; n > 0 {
		t = max(0, min(1, ((x-a.U)*du+(y-a.V)*dv)/n))
	}
	return math.Hypot(x-a.U-t*du, y-a.V-t*dv)
}

// layIn lays what a mask shows of a picture into out, below what the mask of the last
// picture shows.
func layIn(out, pic *image.RGBA, back plane, k float64, mask, above []float32, w, h int, opaque float64) {
	b := out.Rect
	for cell := range mask {
		if mask[cell] == 0 && !beside(mask, cell, w, h) {
			continue
		}
		for y := cell / w * shrink; y < min((cell/w+1)*shrink, b.Dy()); y++ {
			for x := cell % w * shrink; x < min((cell%w+1)*shrink, b.Dx()); x++ {
				fx, fy := (float64(x)+0.5)/shrink-0.5, (float64(y)+0.5)/shrink-0.5
				a := opaque * float64(sampled(mask, fx, fy, w, h)) * (1 - float64(sampled(above, fx, fy, w, h)))
				if a < 1.0/255 {
					continue
				}
				u, v := sourceOf(back, k, float64(x), float64(y))
				c, ok := colourAt(pic, u, v)
				if !ok {
					continue
				}
				at := out.PixOffset(x, y)
				for i := range 3 {
					out.Pix[at+i] = uint8(float64(out.Pix[at+i])*(1-a) + c[i]*a + 0.5)
				}
			}
		}
	}
}

// beside reports whether a cell next to this one has something in it.
func beside(m []float32, cell, w, h int) bool {
	x, y := cell%w, cell/w
	return x > 0 && m[cell-1] > 0 || x < w-1 && m[cell+1] > 0 || y > 0 && m[cell-w] > 0 || y < h-1 && m[cell+w] > 0
}

// sampled is a mask between its cells.
func sampled(m []float32, x, y float64, w, h int) float32 {
	x, y = max(0, min(x, float64(w-1))), max(0, min(y, float64(h-1)))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, w-1), min(y0+1, h-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	return (m[y0*w+x0]*(1-fx)+m[y0*w+x1]*fx)*(1-fy) + (m[y1*w+x0]*(1-fx)+m[y1*w+x1]*fx)*fy
}

// colourAt is a picture between its pixels; false outside.
func colourAt(m *image.RGBA, u, v float64) (c [3]float64, ok bool) {
	if !(u >= 0) || !(v >= 0) || u >= float64(m.Rect.Dx()-1) || v >= float64(m.Rect.Dy()-1) {
		return c, false
	}
	x, y := int(u), int(v)
	fx, fy := u-float64(x), v-float64(y)
	a, b := m.Pix[y*m.Stride+4*x:], m.Pix[(y+1)*m.Stride+4*x:]
	for i := range 3 {
		c[i] = (float64(a[i])*(1-fx)+float64(a[4+i])*fx)*(1-fy) + (float64(b[i])*(1-fx)+float64(b[4+i])*fx)*fy
	}
	return c, true
}
