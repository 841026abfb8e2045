package video

import "image"

// straight adds one picture to a transparent clip.
func (w *Writer) straight(img *image.RGBA) error {
	width, height := w.spec.Width, w.spec.Height
	if img.Rect.Dx() != width || img.Rect.Dy() != height {
		panic("video: Writer.RGBA: the picture has another size than the clip")
	}
	if w.clear == nil {
		w.clear = image.NewNRGBA(image.Rect(0, 0, width, height))
		w.scratch = NewFrame(width, height)
		w.alpha = make([]byte, width*height)
	}
	straighten(w.clear, img)
	if w.spec.Format == FormatProRes {
		return w.add(w.clear.Pix)
	}
	w.scratch.SetRGBA(&image.RGBA{Pix: w.clear.Pix, Stride: w.clear.Stride, Rect: w.clear.Rect})
	for i := range w.alpha {
		w.alpha[i] = w.clear.Pix[4*i+3]
	}
	return w.add(w.scratch.Y, w.scratch.U, w.scratch.V, w.alpha)
}

// fillBlock is the side of the squares in which the colour of clear pixels is chosen: that
// of the transform of ProRes and the smallest but one of VP9.
const fillBlock = 8

// straighten turns premultiplied colours into straight ones of the same transparency.
// What is wholly clear has no colour; there it gets the mean colour of its square, weighted
// by alpha, so that a codec finds no edge to ring at and colour at half resolution does
// not draw black in. Squares that are clear as a whole are black.
func straighten(dst *image.NRGBA, src *image.RGBA) {
	b := src.Rect
	for y0 := 0; y0 < b.Dy(); y0 += fillBlock {
		rows := min(fillBlock, b.Dy()-y0)
		for x0 := 0; x0 < b.Dx(); x0 += fillBlock {
			n := 4 * min(fillBlock, b.Dx()-x0)
			at := src.PixOffset(b.Min.X+x0, b.Min.Y+y0)
			to := dst.PixOffset(dst.Rect.Min.X+x0, dst.Rect.Min.Y+y0)
			straightenBlock(dst.Pix[to:], dst.Stride, src.Pix[at:], src.Stride, n, rows)
		}
	}
}

// straightenBlock does one square of rows of n bytes.
func straightenBlock(dst []byte, dstStride int, src []byte, srcStride, n, rows int) {
	var red, green, blue, alpha uint32
	clear := false
	for y := range rows {
		row := src[y*srcStride : y*srcStride+n]
		for x := 0; x < n; x += 4 {
			a := uint32(row[x+3])
			if a == 0 {
				clear = true
				continue
			}
			alpha += a
			red += uint32(row[x])
			green += uint32(row[x+1])
			blue += uint32(row[x+2])
		}
	}
	if alpha == 0 {
		for y := range rows {
			row := dst[y*dstStride : y*dstStride+n]
			for i := range row {
				row[i] = 0
			}
		}
		return
	}
	share := func(c, a uint32) uint8 { return uint8(min(255, (c*255+a/2)/a)) }
	var mean [3]uint8
	if clear {
		mean = [3]uint8{share(red, alpha), share(green, alpha), share(blue, alpha)}
	}
	for y := range rows {
		from, to := src[y*srcStride:y*srcStride+n], dst[y*dstStride:y*dstStride+n]
		for x := 0; x < n; x += 4 {
			p, q := from[x:x+4:x+4], to[x:x+4:x+4]
			switch a := uint32(p[3]); a {
			case 0:
				q[0], q[1], q[2], q[3] = mean[0], mean[1], mean[2], 0
			case 255:
				q[0], q[1], q[2], q[3] = p[0], p[1], p[2], 255
			default:
				q[0], q[1], q[2], q[3] = share(uint32(p[0]), a), share(uint32(p[1]), a), share(uint32(p[2]), a), p[3]
			}
		}
	}
}
