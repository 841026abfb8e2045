package draw

// copied is a copy of the group in which each thing is what change makes of it; nil leaves
// it out. Groups are copied through and through; their places in the list stay.
func (g *Group) copied(change func(item) item) Group {
	out := *g
	out.items = make([]item, 0, len(g.items))
	for _, it := range g.items {
		if sub, ok := it.(*Group); ok {
			c := sub.copied(change)
			out.items = append(out.items, &c)
			continue
		}
		if it = change(it); it == nil {
			it = &Group{} // an empty place keeps the stretches where they are
		}
		out.items = append(out.items, it)
	}
	return out
}

// haloShare is how wide the halo of Clear is, as a share of the size of the type.
const haloShare = 0.11

// Clear returns a copy without a ground, to be laid over another picture: what is not
// drawn on is open. Words that have no halo get one in the colour of the ground that they
// stood on, so that they can be read on anything.
func (d *Drawing) Clear() *Drawing {
	ground := d.Ground
	out := *d
	out.Ground = Colour{}
	out.Group = d.copied(func(it item) item {
		if t, ok := it.(*textItem); ok && (t.text.Halo.A == 0 || t.text.HaloWidth == 0) && ground.A > 0 {
			c := *t
			c.text.Halo, c.text.HaloWidth = ground.Fade(0.85), c.text.Size*haloShare
			return &c
		}
		return it
	})
	return &out
}

// Mute returns a copy without words: what they stand on.
func (d *Drawing) Mute() *Drawing {
	out := *d
	out.Group = d.copied(func(it item) item {
		if _, ok := it.(*textItem); ok {
			return nil
		}
		return it
	})
	return &out
}

// Word is a line of text where it stands on the sheet.
type Word struct {
	Text
	// On is the box of the line on the sheet, upright even where the line is turned.
	On Box
	// Em is the size of its type on the sheet.
	Em MM
}

// Words lists the lines of text that a reader sees, in the order drawn, where they stand
// on the sheet.
func (d *Drawing) Words() []Word {
	var all []Word
	var walk func(g *Group, m affine)
	walk = func(g *Group, m affine) {
		if g.moved {
			m = m.then(g.m)
		}
		for _, it := range g.items {
			switch it := it.(type) {
			case *Group:
				walk(it, m)
			case *textItem:
				b := it.text.Box()
				on := polygonBox(m, b)
				all = append(all, Word{it.text, on, it.text.Size * MM(scaleOf(m))})
			}
		}
	}
	walk(&d.Group, identity)
	return all
}

// polygonBox is the upright box about a box that was moved.
func polygonBox(m affine, b Box) Box {
	p := new(Path)
	for i, c := range [4]Pt{{b.X, b.Y}, {b.Right(), b.Y}, {b.Right(), b.Bottom()}, {b.X, b.Bottom()}} {
		x, y := m.at(float64(c.X), float64(c.Y))
		if i == 0 {
			p.Move(MM(x), MM(y))
		} else {
			p.Line(MM(x), MM(y))
		}
	}
	return p.Bounds()
}
