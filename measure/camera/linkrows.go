package camera

import (
	"gonum.org/v1/gonum/mat"
)

// bundleLink is a link between two views of a fit.
type bundleLink struct {
	Link
	a, b *view
}

func (k bundleLink) count() int { return 2 * len(k.Matches) }

// residuals writes those of the link, in its standard deviations.
func (k bundleLink) residuals(dst, p []float64) {
	la, pa := k.a.camera(p)
	lb, pb := k.b.camera(p)
	sd := float64(k.SD)
	for i, m := range k.Matches {
		px, _, _, ok := turned(la, pa, lb, pb, m.From)
		if !ok {
			dst[2*i], dst[2*i+1] = wall, wall
			continue
		}
		dst[2*i], dst[2*i+1] = (px.U-m.To.U)/sd, (px.V-m.To.V)/sd
	}
}

func (k bundleLink) jacobian(dst *mat.Dense, row int, p []float64) {
	la, pa := k.a.camera(p)
	lb, pb := k.b.camera(p)
	w := 1 / float64(k.SD)
	for i, m := range k.Matches {
		_, db, da, ok := turned(la, pa, lb, pb, m.From)
		if !ok {
			continue
		}
		for axis := range 2 {
			k.a.scatterTurn(dst, row+2*i+axis, p, la, &da, axis, w)
			k.b.scatterTurn(dst, row+2*i+axis, p, lb, &db, axis, w)
		}
	}
}

// scatterTurn is scatter without the camera's place, on which a link says nothing.
func (v *view) scatterTurn(dst *mat.Dense, row int, p []float64, l optics, d *sensitivity, axis int, weight float64) {
	w := *v
	w.slots.centre = fixed
	w.scatter(dst, row, p, l, d, axis, weight)
}
