package sheet

import (
	"fmt"
	"io"
	"strings"

	"mesure/show/draw"
	"mesure/show/script"
)

func paperOf(p Paper) ([2]draw.MM, error) {
	switch p {
	case "", A4:
		return [2]draw.MM{210, 297}, nil
	case Letter:
		return [2]draw.MM{215.9, 279.4}, nil
	}
	return [2]draw.MM{}, &script.Refusal{At: "paper", What: fmt.Sprintf("%q is no paper of a sheet", p), Mend: `Write "a4" or "letter".`}
}

// Where the text stands on a page: as wide as a plate, with room for the number of the
// page below it.
const (
	textWidth  draw.MM = 180
	pageTop    draw.MM = 16
	pageBottom draw.MM = 20
	footLine   draw.MM = 11 // of the page number, from the lower edge
)

// leading is the distance of two baselines of a text as a share of the size.
const leading = 1.36

// Sizes of type on paper: five and no more.
var (
	sizeTitle = draw.Points(19)
	sizeKey   = draw.Points(13)
	sizeText  = draw.Points(10)
	sizeLabel = draw.Points(9)
	sizeFine  = draw.Points(7.5)
)

// part is what a stretch of pages is to a reader; a paragraph that goes on over a page
// has one group on each.
type part struct {
	role  draw.Role
	above *part
}

// slab is a stretch of a page that is not broken.
type slab struct {
	height, before draw.MM // before is left out at the top of a page
	keep           bool    // with the next slab
	fresh          bool    // begins a page
	float          bool    // may stand further on, at the top of a page
	part           *part
	// draw sets it with its upper edge at y; x is the left edge of the text. bare is the
	// page itself, for what is drawn and not read.
	draw func(g, bare *draw.Group, x, y draw.MM)
	// head is set again at the top of a page that this slab begins, such as that of a
	// table; it is not read twice.
	head *slab
}

// flow sets slabs on pages.
type flow struct {
	paper [2]draw.MM
	theme draw.Theme
	slabs []slab
	pages []*draw.Drawing
	open  map[*part]*draw.Group
	y     draw.MM
	title string
}

func (d *document) pdf(w io.Writer, paper [2]draw.MM) error {
	d = d.settable()
	f := &flow{paper: paper, theme: draw.Print(), title: d.Title}
	f.head(d.Head)
	for _, s := range d.Sections {
		f.section(s)
	}
	if d.Program != "" {
		f.paragraph(d.written(), draw.Sans, sizeFine, f.theme.Quiet, 4, draw.RoleP)
	}
	f.paginate()
	f.foot(d)
	return draw.Book{Title: d.Title, Language: d.Lang, Pages: f.pages}.PDF(w)
}

func (f *flow) add(s slab) { f.slabs = append(f.slabs, s) }

func (f *flow) page() {
	d := draw.New(f.paper[0], f.paper[1], fmt.Sprintf("%s, %d", f.title, len(f.pages)+1), "")
	d.Ground = f.theme.Ground
	f.pages = append(f.pages, d)
	f.open, f.y = map[*part]*draw.Group{}, pageTop
}

// group is where a part stands on this page.
func (f *flow) group(p *part) *draw.Group {
	d := f.pages[len(f.pages)-1]
	if p == nil {
		return &d.Group
	}
	if g := f.open[p]; g != nil {
		return g
	}
	g := f.group(p.above).Tag(p.role, "")
	f.open[p] = g
	return g
}

// paginate sets the slabs one below the other. Slabs that keep together go to the next
// page together; a run that is longer than a page is broken where it has to be. A plate
// for which a page has no room left stands at the top of the next one, and the text goes
// on before it.
func (f *flow) paginate() {
	f.page()
	var waiting [][]slab
	for i := 0; i < len(f.slabs); {
		end := i + 1
		for f.slabs[end-1].keep && end < len(f.slabs) {
			end++
		}
		run := f.slabs[i:end]
		i = end
		if run[0].fresh {
			waiting = f.release(waiting, true)
			if f.y > pageTop {
				f.page()
			}
		}
		switch {
		case run[0].float && (len(waiting) > 0 || !f.fits(run)):
			waiting = append(waiting, run)
			continue
		case !f.fits(run) && f.y > pageTop:
			f.page()
			if waiting = f.release(waiting, false); !f.fits(run) && f.y > pageTop {
				waiting = f.release(waiting, true)
				if !f.fits(run) {
					f.page()
				}
			}
		}
		f.set(run)
	}
	f.release(waiting, true)
}

// release sets the plates that wait: all of them, or as many as the page has room for.
func (f *flow) release(waiting [][]slab, all bool) [][]slab {
	for len(waiting) > 0 && (all || f.fits(waiting[0])) {
		if !f.fits(waiting[0]) {
			f.page()
		}
		f.set(waiting[0])
		waiting = waiting[1:]
	}
	return waiting
}

// fits says whether slabs have room on this page.
func (f *flow) fits(run []slab) bool {
	y := f.y
	for _, s := range run {
		if y > pageTop {
			y += s.before
		}
		y += s.height
	}
	return y <= f.paper[1]-pageBottom+roundOff
}

const roundOff = 1e-6

// set sets slabs from here on, on as many pages as it takes.
func (f *flow) set(run []slab) {
	for _, s := range run {
		if f.y > pageTop && f.y+s.before+s.height > f.paper[1]-pageBottom+roundOff {
			f.page()
		}
		bare := &f.pages[len(f.pages)-1].Group
		switch {
		case f.y > pageTop:
			f.y += s.before
		case s.head != nil:
			s.head.draw(bare, bare, f.left(), f.y)
			f.y += s.head.height
		}
		s.draw(f.group(s.part), bare, f.left(), f.y)
		f.y += s.height
	}
}

func (f *flow) left() draw.MM { return (f.paper[0] - textWidth) / 2 }

// foot sets the number of the page, which is not read with the text.
func (f *flow) foot(d *document) {
	lang, _ := languageOf(d.Lang)
	for i, p := range f.pages {
		at := draw.Pt{X: f.left(), Y: f.paper[1] - footLine}
		title := draw.Text{At: at, S: d.Title, Font: draw.Sans, Size: sizeFine, Colour: f.theme.Quiet}
		for n := []rune(d.Title); title.Width() > textWidth*0.8 && len(n) > 1; {
			n = n[:len(n)-1]
			title.S = strings.TrimSpace(string(n)) + "…"
		}
		p.Text(title)
		at.X += textWidth
		of := strings.NewReplacer("{page}", fmt.Sprint(i+1), "{pages}", fmt.Sprint(len(f.pages))).Replace(lang.Say["page"])
		p.Text(draw.Text{At: at, S: of, Font: draw.Sans, Size: sizeFine, Colour: f.theme.Quiet, Anchor: draw.End})
	}
}

// rule is a hairline across the text.
func (f *flow) rule(bare *draw.Group, x, y, w draw.MM, c draw.Colour) {
	bare.Stroke(draw.Segment(draw.Pt{X: x, Y: y}, draw.Pt{X: x + w, Y: y}), draw.Pen{Colour: c, Width: 0.2})
}
