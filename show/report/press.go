package report

import (
	"sync"

	"mesure/show/draw"
	"mesure/show/plate"
)

// maker draws a picture for a page: wide or for the phone, with less in it the higher low
// is, where the picture can do that (chart.Options.Low).
type maker func(l plate.Layout, th draw.Theme, low int) (*draw.Drawing, error)

// press draws a plate in the form that is asked for. Copies of a plate share it.
type press struct {
	made  maker
	drawn *drawnForms
}

type form struct {
	layout plate.Layout
	theme  draw.Theme
}

type drawnForms struct {
	mu  sync.Mutex
	all map[form]*oneForm
}

type oneForm struct {
	once    sync.Once
	drawing *draw.Drawing
}

func newPress(made maker) press {
	return press{made: made, drawn: &drawnForms{all: map[form]*oneForm{}}}
}

// kept puts a drawing of a form in, so that it is not drawn again.
func (p press) kept(l plate.Layout, th draw.Theme, d *draw.Drawing) {
	f := &oneForm{drawing: d}
	f.once.Do(func() {})
	p.drawn.all[form{l, th}] = f
}

// draw draws the four forms of a page, by day and by night.
func (p *Plate) draw(made maker) error {
	p.press = newPress(made)
	for _, f := range []struct {
		to *(*draw.Drawing)
		l  plate.Layout
		th draw.Theme
	}{
		{&p.Wide, plate.Wide, draw.Paper()}, {&p.Phone, plate.Phone, draw.Paper()},
		{&p.WideNight, plate.Wide, draw.Night()}, {&p.PhoneNight, plate.Phone, draw.Night()},
	} {
		d, err := made(f.l, f.th, 0)
		if err != nil {
			return err
		}
		*f.to = d
		p.kept(f.l, f.th, d)
	}
	return nil
}

// staged draws the two forms of a picture that stands on the stage, on every page.
func (p *Plate) staged(made maker) (err error) {
	p.press = newPress(made)
	if p.Wide, err = made(plate.Wide, draw.Stage(), 0); err != nil {
		return err
	}
	p.kept(plate.Wide, draw.Stage(), p.Wide)
	if p.Phone, err = made(plate.Phone, draw.Stage(), 0); err != nil {
		return err
	}
	p.kept(plate.Phone, draw.Stage(), p.Phone)
	return nil
}

// In returns the plate in any layout and theme. It is drawn when it is first asked for and
// kept; it is safe for use at the same time. The drawing must not be changed: Clear gives
// a copy without a ground. A plate that was not made by this package is composed from its
// Wide and Phone, whatever the theme.
func (p Plate) In(l plate.Layout, th draw.Theme) *draw.Drawing {
	if p.made == nil {
		return p.composed(l, th)
	}
	p.drawn.mu.Lock()
	f := p.drawn.all[form{l, th}]
	if f == nil {
		f = &oneForm{}
		p.drawn.all[form{l, th}] = f
	}
	p.drawn.mu.Unlock()
	f.once.Do(func() {
		if l.Height() > 0 {
			f.drawing = p.fitted(l, th)
			return
		}
		d, err := p.made(l, th, 0)
		if err != nil {
			d = p.composed(l, th) // it could be drawn once: no theme makes it impossible
		}
		f.drawing = d
	})
	return f.drawing
}

// mostLow is the highest of chart.Options.Low.
const mostLow = 2

// fitted makes a form of a fixed shape: of the whole picture where there is room, else of
// one with less in it, else of as much of the whole as there is room for.
func (p Plate) fitted(l plate.Layout, th draw.Theme) *draw.Drawing {
	best, fits := plate.Fit(l, th, p.In(plate.Phone, th), p.In(plate.Wide, th))
	for low := 1; low <= mostLow && !fits.Whole; low++ {
		phone, err1 := p.made(plate.Phone, th, low)
		wide, err2 := p.made(plate.Wide, th, low)
		if err1 != nil || err2 != nil {
			break
		}
		d, f := plate.Fit(l, th, phone, wide)
		if f.Whole || fits.Least < l.Least()*(1-1e-9) && f.Least > fits.Least {
			best, fits = d, f
		}
	}
	return best
}

// composed makes a form of what is there.
func (p Plate) composed(l plate.Layout, th draw.Theme) *draw.Drawing {
	switch {
	case l.Height() > 0 && p.Phone != nil:
		d, _ := plate.Fit(l, th, p.Phone, p.Wide)
		return d
	case l.Height() > 0:
		d, _ := plate.Fit(l, th, p.Wide)
		return d
	case l == plate.Phone && p.Phone != nil:
		return p.Phone
	}
	return p.Wide
}
