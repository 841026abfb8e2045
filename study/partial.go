package study

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
	"sync"

	"mesure/measure/camera"
	"mesure/measure/motion"
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

// Cameras keeps the cameras of takes between readings, so that a reading after a
// change to a mark on a fencer does not fit them again. What it hands out follows
// from the marks on the piste alone: a reading is the same with it and without.
// It holds the takes that were asked for last and is safe for concurrent use.
// The zero value is ready.
type Cameras struct {
	mu   sync.Mutex
	of   map[fitKey]*keptFit
	tick int
	// paths are the movements of followed points, kept alike.
	paths map[fitKey]*keptPath
}

// keptPaths bounds how many movements are held: those of some forty takes.
const keptPaths = 1024

type keptPath struct {
	path *motion.Path
	used int
}

// smoothed is smooth through what is kept; nil keeps nothing.
func (c *Cameras) smoothed(samples []motion.Sample, marked []bool, common []float64) *motion.Path {
	if c == nil {
		return smooth(samples, marked, common)
	}
	h := sha256.New()
	b := make([]byte, 0, 64*len(samples))
	add := func(xs ...float64) {
		for _, x := range xs {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
	}
	for i, s := range samples {
		add(float64(s.At))
		add(s.Where.Mean...)
		add(s.Where.Cov...)
		add(s.Shared...)
		if marked[i] {
			b = append(b, 1)
		}
	}
	add(common...)
	h.Write(b)
	key := fitKey(h.Sum(nil))
	c.mu.Lock()
	if k, ok := c.paths[key]; ok {
		c.tick++
		k.used = c.tick
		c.mu.Unlock()
		return k.path
	}
	c.mu.Unlock()
	p := smooth(samples, marked, common)
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.paths == nil {
		c.paths = map[fitKey]*keptPath{}
	}
	c.tick++
	c.paths[key] = &keptPath{p, c.tick}
	for len(c.paths) > keptPaths {
		var oldest fitKey
		used := c.tick
		for k, v := range c.paths {
			if v.used <= used {
				oldest, used = k, v.used
			}
		}
		delete(c.paths, oldest)
	}
	return p
}

// keptTakes bounds how many takes Cameras holds: some ten touches under work.
const keptTakes = 64

// fitKey is the SHA-256 of everything that the cameras of a take follow from.
type fitKey [sha256.Size]byte

type keptFit struct {
	fit  fit
	used int
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
	if f, ok := c.kept(name); ok {
		return f
	}
	f := fresh()
	c.keep(name, f)
	return f
}

func (c *Cameras) kept(key fitKey) (fit, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	k, ok := c.of[key]
	if !ok {
		return fit{}, false
	}
	c.tick++
	k.used = c.tick
	return k.fit, true
}

func (c *Cameras) keep(key fitKey, f fit) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of == nil {
		c.of = map[fitKey]*keptFit{}
	}
	c.tick++
	c.of[key] = &keptFit{f, c.tick}
	for len(c.of) > keptTakes {
		var oldest fitKey
		used := c.tick
		for k, v := range c.of {
			if v.used <= used {
				oldest, used = k, v.used
			}
		}
		delete(c.of, oldest)
	}
}
