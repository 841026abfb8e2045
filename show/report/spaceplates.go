package report

import (
	"errors"
	"fmt"
	"html/template"
	"image"
	"sync"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// The kinds of plates of one instant in space, of a movement, and of the score.
const (
	KindFrame  Kind = "frame"
	KindGhosts Kind = "ghosts"
	KindPlan   Kind = "plan"
	KindSide   Kind = "side"
	KindLadder Kind = "ladder"
)

// told is the instant that is shown in space: the start of the race, else the first that
// the breakdown tells; false where no camera is known of it.
func told(r *study.Reading) (study.Tableau, bool) {
	ask := []study.At{}
	if r.Race != nil {
		ask = append(ask, study.At{Take: r.Race.Take, Frame: r.Race.Frame})
	}
	for _, in := range r.Told() {
		if len(in.Gaps) > 0 {
			ask = append(ask, study.At{Take: in.Take, Frame: in.Frame})
		}
	}
	for _, at := range ask {
		if t, ok := r.TableauAt(at.Take, at.Frame); ok && len(t.Arcs) > 0 {
			return t, true
		}
	}
	return study.Tableau{}, false
}

// spaceJobs are one instant with what each can reach, from above and from the side, the
// movement of the take that shows most of it, and the ladder of the score. What the reading
// does not allow is left out; the error is that of stills, with the frame named.
func spaceJobs(r *study.Reading, stills Stills, names plate.Naming) []job {
	var all []job
	if t, ok := told(r); ok {
		at := study.At{Take: t.Take, Frame: t.Frame}
		all = append(all, func() (Plate, bool, error) {
			p, err := reachPlate(r, t.Take, t.Frame, stills, names)
			return p, true, err
		},
			charted(Plate{Kind: KindPlan, Take: t.Take, Frame: t.Frame}, func(o chart.Options) (*draw.Drawing, error) { return chart.Plan(r, at, o) }, names),
			charted(Plate{Kind: KindSide, Take: t.Take, Frame: t.Frame}, func(o chart.Options) (*draw.Drawing, error) { return chart.Side(r, at, o) }, names))
	}
	all = append(all, func() (Plate, bool, error) { return ghostPlate(r, stills, names) })
	if len(r.Touch.Bout.Sheet) > 0 || r.Tactics != nil && r.Tactics.Bout != nil {
		all = append(all, charted(Plate{Kind: KindLadder, name: string(KindLadder)}, func(o chart.Options) (*draw.Drawing, error) { return chart.Ladder(r, o) }, names))
	}
	return all
}

// still is the picture of a frame, or the error with the frame named.
func still(stills Stills, take string, f mark.Frame) (image.Image, error) {
	img, err := stills(take, f)
	if err == nil && img == nil {
		err = errors.New("there is no picture")
	}
	if err != nil {
		return nil, fmt.Errorf("frame %d of take %s: %w", f, take, err)
	}
	return img, nil
}

func reachPlate(r *study.Reading, take string, f mark.Frame, stills Stills, names plate.Naming) (Plate, error) {
	p := Plate{Kind: KindFrame, Take: take, Frame: f}
	img, err := still(stills, take, f)
	if err != nil {
		return p, err
	}
	shot := plate.Shot{Reading: r, Take: take, Frame: f, Image: img}
	return p, p.staged(func(l plate.Layout, th draw.Theme, _ int) (*draw.Drawing, error) {
		return plate.Frame(shot, plate.FrameOptions{Options: plate.Options{Layout: l, Theme: th, Names: names}})
	})
}

// ghostPlate draws the movement of the take of which most instants are told; false where
// none shows a movement.
func ghostPlate(r *study.Reading, stills Stills, names plate.Naming) (Plate, bool, error) {
	var take string
	var frames []mark.Frame
	for _, k := range r.Touch.Takes {
		if fs := plate.GhostFrames(r, k.ID); len(fs) > len(frames) {
			take, frames = k.ID, fs
		}
	}
	if len(frames) == 0 {
		return Plate{}, false, nil
	}
	var images []image.Image
	for _, f := range frames {
		img, err := still(stills, take, f)
		if err != nil {
			return Plate{}, false, err
		}
		images = append(images, img)
	}
	q, err := plate.NewSequence(r, take, frames, images)
	if errors.Is(err, plate.ErrNoGhosts) {
		return Plate{}, false, nil
	}
	if err != nil {
		return Plate{}, false, err
	}
	p := Plate{Kind: KindGhosts, Take: take, Frame: frames[len(frames)-1]}
	return p, true, p.staged(func(l plate.Layout, th draw.Theme, _ int) (*draw.Drawing, error) {
		return plate.Ghosts(q, plate.Options{Layout: l, Theme: th, Names: names}), nil
	})
}

// asked remembers the pictures that were handed out while the plates of a touch are drawn:
// some stand on several. It asks for one after the other.
func asked(stills Stills) Stills {
	type key struct {
		take  string
		frame mark.Frame
	}
	var mu sync.Mutex
	got := map[key]image.Image{}
	return func(take string, f mark.Frame) (image.Image, error) {
		mu.Lock()
		defer mu.Unlock()
		if img, ok := got[key{take, f}]; ok {
			return img, nil
		}
		img, err := stills(take, f)
		if err == nil {
			got[key{take, f}] = img
		}
		return img, err
	}
}

// spaceSection has the pictures of the touch in space.
func spaceSection(plates []Plate) (all []template.HTML, err error) {
	for _, kind := range []Kind{KindFrame, KindPlan, KindSide, KindGhosts, KindLadder} {
		for _, p := range plates {
			if p.Kind != kind || p.Wide == nil {
				continue
			}
			html, err := pictures(p)
			if err != nil {
				return nil, err
			}
			all = append(all, html)
		}
	}
	return all, nil
}
