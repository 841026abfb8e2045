package plate

import (
	"slices"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// View says how a frame is seen on a group: X0, Y0 (pixels of the clip, corner and not
// centre) lies in the top left corner of the box, Scale is millimetres a pixel.
type View struct {
	Box           draw.Box
	X0, Y0, Scale float64
}

// At returns where a point of the frame stands.
func (v View) At(p mark.Pixel) draw.Pt { return v.inner().at(p) }

func (v View) inner() view { return view{box: v.Box, x0: v.X0, y0: v.Y0, scale: v.Scale} }

// Layers of what is laid over a frame.
const (
	LayerPiste = "piste" // the named lines of the piste, as the camera sees them
	LayerReach = "reach" // how far each point goes with an extension, a lunge …
	LayerQuiet = "quiet" // the gaps that are measured but not asked for
	LayerGaps  = "gaps"  // the nearest gap of each fencer and the one that is asked
	LayerMarks = "marks" // the points of both
	LayerNames = "names" // who they are
)

// OverlayLayers lists them in the order in which they are drawn and told.
func OverlayLayers() []string {
	return []string{LayerPiste, LayerMarks, LayerNames, LayerQuiet, LayerGaps, LayerReach}
}

// OverlayOptions say what is laid over a frame and how far it is built. The zero value
// shows the gaps and the points, whole, as on a wide sheet.
type OverlayOptions struct {
	// Layers that are shown; nil means gaps and marks.
	Layers []string
	// Theme of lines and words; the zero value means draw.Stage.
	Theme draw.Theme
	// Size is how many times as large as on the wide sheet lines and words are drawn;
	// zero means 1.
	Size float64
	// Asked is the target that is asked of each side, by mark.Side; empty leaves the
	// nearest alone.
	Asked [2]mark.Target
	// Names of the fencers, by mark.Side; an empty one is not written.
	Names [2]string
	// Built is how much of a part (see Parts) is there, from 0 to 1; nil shows all.
	Built func(part string) float64
	// Steady lets each label ride at its line, for pictures that follow each other;
	// otherwise labels look for a free place, and jump.
	Steady bool
	// Clean leaves the numbers and words off.
	Clean bool
}

func (o OverlayOptions) layers() []string {
	if o.Layers == nil {
		return []string{LayerMarks, LayerGaps}
	}
	return o.Layers
}

func (o OverlayOptions) has(layer string) bool { return slices.Contains(o.layers(), layer) }

// built is how much of a part is there, between 0 and 1.
func (o OverlayOptions) built(part string) float64 {
	if o.Built == nil {
		return 1
	}
	return max(0, min(1, o.Built(part)))
}

// Names of parts.
func marksPart(s mark.Side) string { return "marks-" + s.String() }
func namePart(s mark.Side) string  { return "name-" + s.String() }
func gapPart(g study.Gap) string   { return "gap-" + g.Of.String() + "-" + string(g.Target) }
func reachPart(a study.Arc) string { return "reach-" + a.Of.String() + "-" + a.Band }
func quietPart(s mark.Side) string { return "quiet-" + s.String() }

// Parts lists what the layers have to show on this frame, in an order in which it can
// appear one by one: "piste", "marks-left", "name-left", "quiet-left", "gap-left-hand",
// "reach-left-short" and so on. A part that is not in the list is not drawn.
func Parts(t *study.Tableau, o OverlayOptions) []string {
	var all []string
	if o.has(LayerPiste) && len(t.Grid) > 0 {
		all = append(all, "piste")
	}
	for _, s := range mark.Sides {
		if o.has(LayerMarks) && len(t.Bodies[s].Points) > 0 {
			all = append(all, marksPart(s))
		}
		if o.has(LayerNames) && o.Names[s] != "" && len(t.Bodies[s].Points) > 0 {
			all = append(all, namePart(s))
		}
	}
	main := prominent(t.Gaps, o.Asked)
	if o.has(LayerQuiet) {
		for _, s := range mark.Sides {
			if slices.ContainsFunc(t.Gaps, func(g study.Gap) bool { return g.Of == s && drawable(g) && !contains(main, g) }) {
				all = append(all, quietPart(s))
			}
		}
	}
	if o.has(LayerGaps) {
		for _, g := range main {
			all = append(all, gapPart(g))
		}
	}
	if o.has(LayerReach) {
		for _, a := range ArcsShown(t) {
			all = append(all, reachPart(a))
		}
	}
	return all
}

// ArcsShown leaves out the arcs that answer nothing here: of each fencer those up to the
// first that holds the nearest target, so that one sees what it takes.
func ArcsShown(t *study.Tableau) []study.Arc {
	need := [2]string{"long", "long"}
	for _, g := range t.Gaps {
		if g.Nearest && g.Band != "" {
			need[g.Of] = g.Band
		}
	}
	order := []string{"short", "medium", "long", "out"}
	return slices.DeleteFunc(slices.Clone(t.Arcs), func(a study.Arc) bool {
		return !arcDrawable(a) || slices.Index(order, a.Band) > max(1, slices.Index(order, need[a.Of]))
	})
}

// Overlay lays the parts of a frame over its picture, which is drawn already and seen
// through v. Nothing but the parts is drawn: no ground, no frame.
func Overlay(g *draw.Group, t *study.Tableau, v View, o OverlayOptions) {
	if o.Theme.Name == "" {
		o.Theme = draw.Stage()
	}
	if o.Size > 0 && o.Size != 1 {
		k := draw.MM(1 / o.Size)
		g = g.Scale(o.Size)
		v.Box = draw.Box{X: v.Box.X * k, Y: v.Box.Y * k, W: v.Box.W * k, H: v.Box.H * k}
		v.Scale /= o.Size
	}
	newOverlay(g, t, v.inner(), o, Wide.Type()).draw()
}

// overlay is a frame being drawn over.
type overlay struct {
	g    *draw.Group
	t    *study.Tableau
	v    view
	o    OverlayOptions
	th   draw.Theme
	ty   Type
	main []study.Gap
	ob   *obstacles
}

func newOverlay(g *draw.Group, t *study.Tableau, v view, o OverlayOptions, ty Type) *overlay {
	return &overlay{g: g, t: t, v: v, o: o, th: o.Theme, ty: ty, main: prominent(t.Gaps, o.Asked), ob: &obstacles{room: v.box.Grow(-1.2)}}
}

// draw draws what lies lowest first: the piste, the arcs, the lines, the points, then
// the words.
func (x *overlay) draw() {
	o, t := x.o, x.t
	if o.has(LayerPiste) {
		x.piste(o.built("piste"))
	}
	if o.has(LayerReach) {
		for _, a := range ArcsShown(t) {
			x.arc(a, o.built(reachPart(a)))
		}
	}
	if o.has(LayerQuiet) {
		for _, g := range t.Gaps {
			if p := o.built(quietPart(g.Of)); p > 0 && drawable(g) && !contains(x.main, g) {
				x.quiet(g, p)
			}
		}
	}
	if o.has(LayerGaps) {
		for _, g := range x.main {
			x.gap(g, o.built(gapPart(g)))
		}
	}
	if o.has(LayerMarks) {
		for _, s := range mark.Sides {
			x.marks(s, o.built(marksPart(s)))
		}
	}
	if o.Clean {
		return
	}
	if !o.Steady {
		x.occupy()
	}
	if o.has(LayerGaps) {
		for _, g := range x.main {
			x.number(g, o.built(gapPart(g)))
		}
	}
	if o.has(LayerNames) {
		for _, s := range mark.Sides {
			x.name(s, o.built(namePart(s)))
		}
	}
	if o.has(LayerReach) {
		for _, a := range ArcsShown(t) {
			x.arcWords(a, o.built(reachPart(a)))
		}
	}
	if o.has(LayerPiste) {
		x.pisteWords(o.built("piste"))
	}
}
