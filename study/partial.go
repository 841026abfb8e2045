package study

import (
	"crypto/sha256"
	"encoding/json"
	"errors"

	"mesure/measure/camera"
	"mesure/sport/mark"
)

// RefusedFrame is a placing that a partial reading left out.
type RefusedFrame struct {
	Take  string
	Frame mark.Frame
	// At is the JSON pointer (RFC 6901) of the placing.
	At string
	// Text says why, and how to mend it.
	Text string
	// Because is the error of the camera room.
	Because error
}

// fit is what placing the pictures of one take gave.
type fit struct {
	// placed has one camera for each picture; nil for one that was refused.
	placed []*camera.Placing
	// refused has one error for each picture; nil for one that was placed.
	refused []error
	// grid has the lines of the piste in each picture that was placed.
	grid [][]GridLine
	// followed has the frames between the pictures, drifts how far the followed camera
	// had come off at each picture; nil without links.
	followed map[mark.Frame]*camera.Placing
	drifts   []camera.Drift
}

// fitPart places the pictures of one take, and leaves out those that cannot be
// placed instead of refusing all. A picture that refuses is taken out and the
// others are tried again; where the camera room names none, each picture is
// placed by itself.
func fitPart(pictures []camera.Picture, o camera.Options) fit {
	f := fit{placed: make([]*camera.Placing, len(pictures)), refused: make([]error, len(pictures))}
	left := make([]int, len(pictures))
	for i := range left {
		left[i] = i
	}
	for len(left) > 0 {
		some := make([]camera.Picture, len(left))
		for k, i := range left {
			some[k] = pictures[i]
		}
		placings, err := placeTake(some, o)
		if err == nil {
			for k, i := range left {
				f.placed[i] = placings[k]
			}
			return f
		}
		var in *camera.PictureError
		if !errors.As(err, &in) {
			f.alone(pictures, left, o)
			return f
		}
		f.refused[left[in.Picture]] = in.Err
		left = append(left[:in.Picture:in.Picture], left[in.Picture+1:]...)
	}
	return f
}

// alone places pictures one by one.
func (f fit) alone(pictures []camera.Picture, left []int, o camera.Options) {
	for _, i := range left {
		f.placed[i], f.refused[i] = camera.Place(pictures[i], o)
	}
}

// fitTake is fitPart through what is kept, with the lines of a piste of this width and
// the links of the take (nil: none).
func (c *Cameras) fitTake(pictures []camera.Picture, o camera.Options, width float64, links *linked) fit {
	fresh := func() fit {
		f := fitPart(pictures, o)
		if links != nil {
			f.link(pictures, links, o)
		}
		f.grid = make([][]GridLine, len(f.placed))
		for i, p := range f.placed {
			if p != nil {
				f.grid[i] = gridOf(p, pictures[i].Width, pictures[i].Height, width)
			}
		}
		return f
	}
	key := struct {
		P []camera.Picture
		O camera.Options
		W float64
		L string
		F []mark.Frame
	}{P: pictures, O: o, W: width}
	if links != nil {
		key.L, key.F = links.key, links.frames
	}
	body, err := json.Marshal(key)
	if c == nil || err != nil { // a NaN cannot be written; the camera room refuses it
		return fresh()
	}
	name := fitKey(sha256.Sum256(body))
	if f, ok := c.fits.get(name); ok {
		return f.(fit)
	}
	f := fresh()
	c.fits.put(name, f, keptTakes)
	return f
}
