package study

import (
	"errors"
	"fmt"
	"slices"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// view names one frame of one take.
type view struct {
	take  string
	frame mark.Frame
}

func (v view) String() string { return fmt.Sprintf("take %s, frame %d", v.take, v.frame) }

// cameras holds the placed frames of a touch.
type cameras struct {
	placed map[view]*camera.Placing
	// followed has the frames between them, where a following joins them.
	followed map[view]*camera.Placing
	// steady has the one camera of a take that was said not to move.
	steady map[string]*camera.Placing
}

// of returns the camera of a frame: the one placed on it, the one that was followed,
// or the one of a take that stood still.
func (c cameras) of(v view) (*camera.Placing, bool) {
	if p, ok := c.placed[v]; ok {
		return p, true
	}
	if p, ok := c.followed[v]; ok {
		return p, true
	}
	p, ok := c.steady[v.take]
	return p, ok
}

// placeAll places every frame that has placing points or marks on lines. The frames of one take
// share the camera's place and are fitted together.
func placeAll(t *Touch, clips map[string]mark.Clip, r *Reading, o ReadOptions) (cameras, error) {
	all := cameras{map[view]*camera.Placing{}, map[view]*camera.Placing{}, map[string]*camera.Placing{}}
	for _, k := range t.Takes {
		var pictures []camera.Picture
		var at []int
		for i, p := range t.Placings {
			if p.Take == k.ID {
				pictures = append(pictures, pictureOf(p, clips[k.Video], t.Width()))
				at = append(at, i)
			}
		}
		if len(pictures) == 0 {
			continue
		}
		by := camera.Options{Distortion: t.Placings[at[0]].Distortion, Cropped: t.Placings[at[0]].Cropped}
		frames := make([]mark.Frame, len(at))
		for j, i := range at {
			frames[j] = t.Placings[i].Frame
		}
		links := linksOf(t, k, clips[k.Video], o.Following, frames)
		var f fit
		if o.Partial {
			f = o.Cameras.fitTake(pictures, by, t.Width(), links)
			for j, err := range f.refused {
				if err != nil {
					r.Refused = append(r.Refused, RefusedFrame{k.ID, t.Placings[at[j]].Frame, fmt.Sprintf("/placings/%d", at[j]), err.Error(), err})
				}
			}
		} else {
			var err error
			if f, err = placeWhole(pictures, links, by); err != nil {
				return all, placeRefusal(err, at)
			}
		}
		for frame, p := range f.followed {
			all.followed[view{k.ID, frame}] = p
		}
		for _, d := range f.drifts {
			r.Drifts = append(r.Drifts, Drift{Take: k.ID, Frame: frames[d.Picture], Px: d.Px, Metres: d.Metres, Share: d.Share})
		}
		for j, p := range f.placed {
			if p == nil {
				continue
			}
			v := view{k.ID, t.Placings[at[j]].Frame}
			all.placed[v] = p
			if k.Steady && all.steady[k.ID] == nil {
				all.steady[k.ID] = p
			}
			frame := placedFrame(v, p)
			if f.grid != nil {
				frame.Grid = f.grid[j]
			} else {
				frame.Grid = gridOf(p, pictures[j].Width, pictures[j].Height, t.Width())
			}
			r.Placings = append(r.Placings, frame)
		}
	}
	return all, nil
}

func placeTake(pictures []camera.Picture, o camera.Options) ([]*camera.Placing, error) {
	if len(pictures) == 1 {
		p, err := camera.Place(pictures[0], o)
		if err != nil {
			return nil, err
		}
		return []*camera.Placing{p}, nil
	}
	return camera.PlaceTogether(pictures, o)
}

// placeRefusal says at which placing of the touch file the camera room refused.
func placeRefusal(err error, at []int) error {
	where := fmt.Sprintf("/placings/%d", at[0])
	var in *camera.PictureError
	if errors.As(err, &in) {
		where, err = fmt.Sprintf("/placings/%d", at[in.Picture]), in.Err
	}
	return &Refusal{At: where, What: err.Error(), Because: err}
}

func pictureOf(p Placing, clip mark.Clip, width float64) camera.Picture {
	pic := camera.Picture{Width: clip.Width, Height: clip.Height}
	for i, q := range p.Points {
		on, name := q.On, q.Name
		if name != "" {
			if named, ok := piste.Named(name, width); ok {
				on = named
			}
		} else {
			name = fmt.Sprintf("point %d", i)
		}
		pic.Points = append(pic.Points, camera.Point{Name: name, On: on, At: q.At, SD: sdOr(q.SD)})
	}
	for i, q := range p.Lines {
		a, b, name := q.A, q.B, q.Line
		if name != "" {
			if c, d, ok := piste.LineNamed(name, width); ok {
				a, b = c, d
			}
		} else {
			name = fmt.Sprintf("line %d", i)
		}
		pic.Lines = append(pic.Lines, camera.LineMark{Name: name, A: a, B: b, At: q.At, SD: sdOr(q.SD)})
	}
	return pic
}

func sdOr(sd float64) quantity.Pixels {
	if sd == 0 {
		return mark.DefaultSD
	}
	return quantity.Pixels(sd)
}

func placedFrame(v view, p *camera.Placing) PlacedFrame {
	f := PlacedFrame{Take: v.take, Frame: v.frame, Focal: p.Focal, Position: p.Position, Roll: p.Roll, K1: p.K1, RMS: p.RMS}
	for _, q := range p.Residuals {
		f.Residuals = append(f.Residuals, Residual{Name: q.Name, At: q.At, Fitted: q.Fitted, Off: q.Off, Share: q.Share})
	}
	for _, w := range p.Warnings {
		f.Warnings = append(f.Warnings, warningOf(w, v))
		if w.Code == camera.CodeDisagrees || w.Code == camera.CodeSwap {
			for _, name := range w.Named() {
				if !slices.Contains(f.Disagrees, name) {
					f.Disagrees = append(f.Disagrees, name)
				}
			}
		}
	}
	return f
}

func warningOf(w camera.Warning, v view) Warning {
	return Warning{Code: w.Code, About: v.String() + about(w.About), Doubt: w.Doubt, Text: w.Text}
}

func about(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}

// gridOf draws the lines of the piste through the camera.
func gridOf(p *camera.Placing, width, height int, pisteWidth float64) []GridLine {
	var grid []GridLine
	add := func(name string, painted bool, a, b piste.Place) {
		if line := p.ProjectLine(a, b, width, height); len(line) >= 2 {
			grid = append(grid, GridLine{Name: name, Painted: painted, Points: line})
		}
	}
	half := pisteWidth / 2
	for _, l := range piste.Lines() {
		add(l.Name, l.Painted, piste.Place{X: l.X, Y: -half}, piste.Place{X: l.X, Y: half})
	}
	for _, e := range []struct {
		name string
		y    float64
	}{{piste.Near, -half}, {piste.Far, half}} {
		add(e.name+"-edge", true, piste.Place{X: -piste.RearLimit, Y: e.y}, piste.Place{X: piste.RearLimit, Y: e.y})
	}
	return grid
}
