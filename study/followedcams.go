package study

import (
	"slices"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
)

// linked is how the camera of a take is to be followed: the links of a following, with
// the key that names them.
type linked struct {
	key   string
	links []Link
	// frame of each picture that is placed by hand.
	frames []mark.Frame
}

// linksOf returns the links of a take; nil where there are none that still hold, or
// where the coach said that the camera stood.
func linksOf(t *Touch, k mark.Take, clip mark.Clip, f *Following, frames []mark.Frame) *linked {
	got, ok := f.holds(t, k, clip)
	if !ok || k.Steady || len(got.Links) == 0 {
		return nil
	}
	return &linked{got.Key, got.Links, frames}
}

// follow places the pictures of a take and every frame that links join to them.
func (l *linked) follow(pictures []camera.Picture, o camera.Options) (placings []*camera.Placing, followed map[mark.Frame]*camera.Placing, drifts []camera.Drift, err error) {
	at := map[mark.Frame]int{} // frame → number of its picture
	all := slices.Clone(pictures)
	for i, f := range l.frames {
		if _, twice := at[f]; !twice {
			at[f] = i
		}
	}
	frames := slices.Clone(l.frames)
	index := func(f mark.Frame) int {
		i, ok := at[f]
		if !ok {
			i = len(all)
			at[f] = i
			all = append(all, camera.Picture{Width: pictures[0].Width, Height: pictures[0].Height})
			frames = append(frames, f)
		}
		return i
	}
	links := make([]camera.Link, len(l.links))
	for i, k := range l.links {
		links[i] = camera.Link{From: index(k.From), To: index(k.To), SD: quantity.Pixels(k.SD)}
		for _, m := range k.Matches {
			links[i].Matches = append(links[i].Matches, camera.LinkMatch{From: mark.Pixel{U: m[0], V: m[1]}, To: mark.Pixel{U: m[2], V: m[3]}})
		}
	}
	got, err := camera.PlaceLinked(all, links, o)
	if err != nil {
		return nil, nil, nil, err
	}
	followed = map[mark.Frame]*camera.Placing{}
	for i, p := range got.Placings[len(pictures):] {
		if p != nil {
			followed[frames[len(pictures)+i]] = p
		}
	}
	return got.Placings[:len(pictures)], followed, got.Drifts, nil
}

// link places the pictures that were accepted once more, with the links; the cameras
// stand as they are where that is refused.
func (f *fit) link(pictures []camera.Picture, l *linked, o camera.Options) {
	some := &linked{key: l.key, links: l.links}
	var kept []camera.Picture
	var which []int
	for i, p := range f.placed {
		if p != nil {
			kept, which = append(kept, pictures[i]), append(which, i)
			some.frames = append(some.frames, l.frames[i])
		}
	}
	if len(kept) == 0 {
		return
	}
	placings, followed, drifts, err := some.follow(kept, o)
	if err != nil {
		return
	}
	for k, i := range which {
		f.placed[i] = placings[k]
	}
	f.followed = followed
	for _, d := range drifts {
		d.Picture = which[d.Picture]
		f.drifts = append(f.drifts, d)
	}
}

// placeWhole places all pictures of a take, or refuses.
func placeWhole(pictures []camera.Picture, l *linked, o camera.Options) (fit, error) {
	if l == nil {
		placed, err := placeTake(pictures, o)
		return fit{placed: placed}, err
	}
	placed, followed, drifts, err := l.follow(pictures, o)
	return fit{placed: placed, followed: followed, drifts: drifts}, err
}

// CameraAt returns the camera of a frame: the one placed on it by hand, the one that a
// following found, or that of a take that stood still. It is false for a frame that no
// camera is known of.
func (r *Reading) CameraAt(take string, f mark.Frame) (*camera.Placing, bool) {
	return r.cameras.of(view{take, f})
}

// floorDoubt is the standard deviation of a place on the floor in the middle of the
// picture, the worse direction; false where the middle does not show the floor.
func floorDoubt(p *camera.Placing, clip mark.Clip) (quantity.Metres, bool) {
	j, err := p.Floor(mark.Pixel{U: float64(clip.Width) / 2, V: 0.7 * float64(clip.Height)}, 0)
	if err != nil {
		return 0, false
	}
	return quantity.Metres(max(j.SD(0), j.SD(1))), true
}

// followedFrames fills the frames of one take between the placed ones, with the lines
// of the piste.
func (r *Reading) followedFrames(t *Touch, take string) {
	k, ok := t.Take(take)
	if !ok {
		return
	}
	clip := r.Clips[k.Video]
	for f := k.From; f <= k.To; f++ {
		p, ok := r.cameras.followed[view{take, f}]
		if !ok {
			continue
		}
		doubt, _ := floorDoubt(p, clip)
		r.Followed = append(r.Followed, FollowedFrame{Take: take, Frame: f, Floor: doubt, Grid: gridOf(p, clip.Width, clip.Height, t.Width())})
	}
}
