package clip

import (
	"context"
	"image"
	"image/color"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/handoff"
	"mesure/show/report"
	"mesure/study"
)

// everyForm is each shape with its captions burnt in and beside it.
func everyForm(t *testing.T, fn func(f Form, film *Film)) {
	for _, shape := range shapes {
		for _, captions := range []string{"burnt", "file"} {
			b := wholeBoard()
			b.Form = Form{Shape: shape, Captions: captions}
			for i := range b.Shots {
				b.Shots[i].Title = "A chapter that has a long name"
			}
			film := filmOf(t, b)
			for _, x := range film.shots { // names and the mark of what is invented, at their longest
				x.names = [2]string{strings.Repeat("Wilhelmina ", 6), strings.Repeat("Bartholomew ", 6)}
				if x.main != nil {
					x.notes = []string{"Invented, shows no real person"}
				}
			}
			fn(film.form, film)
		}
	}
}

// wordsOf are the layers of a frame that are no overlay: furniture, clock and captions.
func wordsOf(c *composer, frame int) []*layer {
	var out []*layer
	for _, l := range c.at(frame).layers {
		words := l == c.still || l.words
		for _, k := range c.clock {
			words = words || l == k
		}
		if words && l.img != nil {
			out = append(out, l)
		}
	}
	return out
}

// TestNothingButTheMeasurementLiesOnATake: a broadcast has its signs in the corners (who
// leads, that it is a replay), and ours must neither cover them nor be covered. Chapter,
// names, speed, clock and captions stand beside the picture, in every shape.
func TestNothingButTheMeasurementLiesOnATake(t *testing.T) {
	if testing.Short() {
		t.Skip("looks at every pixel of every shape")
	}
	t.Parallel()
	everyForm(t, func(form Form, film *Film) {
		words := 0
		for _, b := range film.shots {
			if b.main == nil {
				continue
			}
			c := newComposer(b, stageOf(form, 0))
			for _, l := range wordsOf(c, b.count/2) {
				words++
				for k := range b.views() {
					d := c.frames[k].dest.Intersect(l.img.Rect)
					for y := d.Min.Y; y < d.Max.Y; y++ {
						row := l.img.Pix[l.img.PixOffset(d.Min.X, y):][:4*d.Dx()]
						for i := 3; i < len(row); i += 4 {
							if row[i] > 2 { // of 255: not quite clear
								t.Fatalf("%s, captions %s, %s: words lie on the take at %d, %d", form.Shape, form.Captions, b.Kind, d.Min.X+i/4, y)
							}
						}
					}
				}
			}
		}
		if words < 4 {
			t.Errorf("%s, captions %s: only %d layers of words were looked at", form.Shape, form.Captions, words)
		}
	})
}

// TestWordsStandInTheSafeArea: letters of the furniture and of captions keep 5 % of the
// width and of the height free on each side (SMPTE ST 2046-1, safe title area), read from
// the pixels. Grounds of words may reach further; letters are the light pixels.
func TestWordsStandInTheSafeArea(t *testing.T) {
	if testing.Short() {
		t.Skip("looks at every pixel of every shape")
	}
	t.Parallel()
	everyForm(t, func(form Form, film *Film) {
		w, h := film.Size()
		safe := image.Rect(w/20, h/20, w-w/20, h-h/20)
		letters := 0
		look := func(what string, img *image.RGBA, over int) {
			if img == nil {
				return
			}
			for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
				row := img.Pix[img.PixOffset(img.Rect.Min.X, y):][:4*img.Rect.Dx()]
				for i := 0; i < len(row); i += 4 {
					if int(row[i])+int(row[i+1])+int(row[i+2]) > 330 {
						letters++
						x := img.Rect.Min.X + i/4
						if !image.Pt(x, y).In(safe.Inset(-over)) {
							t.Fatalf("%s, captions %s: %s stands outside the safe area at %d, %d", form.Shape, form.Captions, what, x, y)
						}
					}
				}
			}
		}
		// A plate whose words reach as far as those of a sheet do: a twentieth from its edge.
		edge := card("", report.KindRace)
		edge.Wide.Fill(draw.Box{X: 5, Y: 3, W: 90, H: 54}.Path(), draw.Hex(0xffffff))
		plates := 0
		for _, b := range film.shots {
			if b.plate != nil {
				b.plate = &edge
				look("a plate", newComposer(b, stageOf(form, 0)).plate(), h/200) // a title begins with its capitals, an f stands higher
				plates++
			}
			if b.main == nil {
				continue
			}
			c := newComposer(b, stageOf(form, 0))
			for _, l := range wordsOf(c, b.count/2) {
				look("a word of a "+b.Kind+" shot", l.img, 1) // the edge of a letter is soft
			}
		}
		if form.Captions == "burnt" {
			st := stageOf(form, 0)
			longest := []string{"Wwwwwwwwwwwwwwwww wwwwwwwwwwwwwwwwwwg", "Wwwwwwwwwwwwwwwww wwwwwwwwwwwwwwwwwwg"}
			got := paint(st.panel, func(g *draw.Group) { caption(st, g, handoff.Screen{Lines: longest}) })
			look("a caption", got, 1)
			if got == nil {
				t.Fatal("no caption was drawn")
			}
		}
		if plates == 0 {
			t.Error("the film shows no plate")
		}
		if letters < 2000 {
			t.Errorf("%s, captions %s: only %d pixels of letters were seen", form.Shape, form.Captions, letters)
		}
	})
}

// TestTheStripIsReadable: no two lines have the same place, however long they are.
func TestTheStripIsReadable(t *testing.T) {
	t.Parallel()
	everyForm(t, func(form Form, _ *Film) {
		st := stageOf(form, 0)
		at := placesOn(st)
		boxes := []image.Rectangle{}
		for _, p := range []place{at.chapter, at.speed, at.clock, at.note, at.names[0], at.names[1]} {
			// From the top of capitals to the foot of letters that hang; as wide as it may be.
			x := p.x
			switch p.anchor {
			case draw.Middle:
				x -= p.width / 2
			case draw.End:
				x -= p.width
			}
			size := st.px(p.size)
			boxes = append(boxes, image.Rect(int(x), int(p.y-0.72*size), int(x+p.width), int(p.y+0.22*size)))
		}
		for i, a := range boxes {
			for _, b := range boxes[:i] {
				if a.Overlaps(b) {
					t.Errorf("%s, captions %s: %v and %v overlap", form.Shape, form.Captions, a, b)
				}
			}
		}
	})
}

// TestACaptionIsReadInItsTime: no screen of a clip stands longer than 7 s or shorter than
// 5/6 s, none has more than two lines, nobody has to read faster than 20 letters a second
// (bounds in use by subtitlers; BBC subtitle guidelines and Netflix timed text style guide
// name the same orders, no standard), and the picture is not without words in the middle
// of a sentence that two screens can hold.
func TestACaptionIsReadInItsTime(t *testing.T) {
	for _, n := range []struct {
		text string
		long quantity.Seconds
	}{
		{"The extension for one light is in time (98 ± 1 %), and yet Orlen hits. Keep this: time alone does not win.", 12.4},
		{"One lamp: Orlen hits.", 1.7}, {"Orlen’s point is 0.88 ± 0.02 m from Harrak’s chest: a lunge away.", 9.7},
	} {
		all, err := handoff.Screens([]handoff.Cue{{From: 1, To: 1 + n.long, Text: n.text}})
		if err != nil || len(all) == 0 {
			t.Fatal(all, err)
		}
		for i, s := range all {
			d := float64(s.To - s.From)
			letters := len([]rune(strings.Join(s.Lines, " ")))
			if d > 7.001 || d < 5.0/6-0.001 || len(s.Lines) > 2 || float64(letters)/d > 20 {
				t.Errorf("%d letters in %d lines stand %.2f s: %q", letters, len(s.Lines), d, s.Lines)
			}
			if i > 0 && s.From-all[i-1].To > 0.001 && float64(n.long) <= 7*float64(len(all)) {
				t.Errorf("nothing stands for %.2f s before %q", float64(s.From-all[i-1].To), s.Lines)
			}
		}
	}
	// And in the picture: the caption that a frame shows.
	r := invented(t)
	s := drafted(t, r)
	board, err := Draft(r, s, nil, Form{})
	if err != nil {
		t.Fatal(err)
	}
	film, err := Make(Input{Reading: r, Script: s, Board: board})
	if err != nil {
		t.Fatal(err)
	}
	stood, longest := map[*layer]int{}, 0
	for _, b := range film.shots {
		c := newComposer(b, stageOf(film.form, 160))
		for i := range b.count {
			l := c.words(i)
			if l == c.overlay["panel"] {
				continue
			}
			stood[l]++
			longest = max(longest, stood[l])
		}
	}
	if most := 7*film.form.Rate + 1; longest > most || len(stood) < 5 {
		t.Errorf("of %d captions one stands for %d frames, more than %d", len(stood), longest, most)
	}
}

// TestTheGroundBesideATakeIsPlain: what is neither take nor word is the ground of the
// clip, also where the take moved up.
func TestTheGroundBesideATakeIsPlain(t *testing.T) {
	t.Parallel()
	film := filmOf(t, Board{Shots: []Shot{{ID: "a", Kind: Hold, Take: "live", From: 10, Layers: []string{}}}})
	img, err := film.PictureAt(context.Background(), &lamp{}, 0, 320)
	if err != nil {
		t.Fatal(err)
	}
	st := stageOf(film.form, 320)
	for _, p := range []image.Point{{2, st.strip.Min.Y + 3}, {317, 178}} {
		c := img.RGBAAt(p.X, p.Y)
		if g := colourOf(theme.Ground); absDiff(c, g) > 9 {
			t.Errorf("at %v stands %v, not the ground %v", p, c, g)
		}
	}
}

func absDiff(a, b color.RGBA) int {
	d := func(x, y uint8) int { return max(int(x)-int(y), int(y)-int(x)) }
	return d(a.R, b.R) + d(a.G, b.G) + d(a.B, b.B)
}

// TestFencersAreSeenWhole: on a wide picture what matters of a frame is inside what is
// shown, wherever the fencers stand and however large; both directions have one scale; and
// no edge of the picture is free at the sides while the fencers have room.
func TestFencersAreSeenWhole(t *testing.T) {
	for _, room := range []image.Rectangle{image.Rect(0, 0, 1280, 514), image.Rect(0, 114, 1280, 720), image.Rect(0, 0, 320, 128)} {
		for _, size := range []image.Point{{1280, 720}, {1920, 1080}, {640, 480}, {720, 1280}} {
			for _, need := range []image.Rectangle{{}, image.Rect(100, 20, 500, 300), image.Rect(100, 300, 620, size.Y), image.Rect(0, 5, size.X, size.Y-5), image.Rect(200, size.Y/2, 400, size.Y/2+90)} {
				need = need.Intersect(image.Rectangle{Max: size})
				f := frameAcross(room, need, size.X, size.Y)
				if !need.In(f.crop) || !f.dest.In(room) || !f.crop.In(image.Rectangle{Max: size}) {
					t.Errorf("%v of %v in %v: %+v", need, size, room, f)
				}
				across, down := float64(f.dest.Dx())/float64(f.crop.Dx()), float64(f.dest.Dy())/float64(f.crop.Dy())
				if across/down < 0.98 || across/down > 1.02 {
					t.Errorf("%v of %v in %v: scales %.3f and %.3f", need, size, room, across, down)
				}
				high := float64(need.Dy()) * float64(room.Dx()) / float64(size.X)
				if !need.Empty() && high < float64(room.Dy())-2 && float64(size.X)/float64(size.Y) > float64(room.Dx())/float64(room.Dy())*0.5 && f.dest.Dx() != room.Dx() {
					t.Errorf("%v of %v in %v leaves the sides free: %+v", need, size, room, f)
				}
			}
		}
	}
}

// TestTwoTouchesAreToldApart: of two takes beside each other that of another touch says so.
func TestTwoTouchesAreToldApart(t *testing.T) {
	numbered := func(n int) *study.Reading {
		r := *stagedReading(t)
		touch := *r.Touch
		touch.Number = n
		r.Touch = &touch
		return &r
	}
	r, nameless := numbered(6), numbered(0)
	for want, s := range map[string]*seen{
		"live": {r: r, take: r.Touch.Takes[0]}, "touch 6, live": {r: r, touch: "other", take: r.Touch.Takes[0]},
		"another touch, live": {r: nameless, touch: "other", take: r.Touch.Takes[0]},
	} {
		if got := s.called(); got != want {
			t.Errorf("the take is called %q, want %q", got, want)
		}
	}
}
