package web

import (
	"context"
	"errors"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// States of a video, as they go over the wire.
const (
	mediaIndexing, mediaReady, mediaRefused, mediaRemoved = "indexing", "ready", "refused", "removed"
)

// maxIndexing is how many videos are indexed at once; others wait.
const maxIndexing = 2

// clips has the index of every video that was asked for: its size and the time
// stamp of every frame.
type clips struct {
	s    *Server
	gate *gate
	mu   sync.Mutex
	of   map[string]*index
}

// index is one video's index, done or under way.
type index struct {
	// job is the work; nil where the index was known from the start.
	job  *job
	path string
	clip mark.Clip
	err  error
	// done is closed when clip and err are set.
	done chan struct{}
}

func newClips(s *Server) *clips {
	return &clips{s: s, gate: newGate(maxIndexing), of: map[string]*index{}}
}

// ended reports whether the index is there or was refused.
func (x *index) ended() bool {
	select {
	case <-x.done:
		return true
	default:
		return false
	}
}

// start returns the index of a video, and begins to make it where it is not under
// way. One that failed stays so until the video is added again; one that was
// cancelled is begun anew.
func (c *clips) start(ctx context.Context, m study.Media) (*index, error) {
	path, err := c.s.c.Shelf.Library.MediaPath(ctx, m.SHA256)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if x := c.of[m.SHA256]; x != nil && !(x.ended() && errors.Is(x.err, context.Canceled)) {
		return x, nil
	}
	if c.s.life.Err() != nil {
		return nil, errClosing
	}
	x := &index{path: path, done: make(chan struct{})}
	c.of[m.SHA256] = x
	if c.s.c.Index != nil {
		if clip, ok := c.s.c.Index.Clip(m.SHA256); ok {
			x.clip = clip
			close(x.done)
			return x, nil
		}
	}
	x.job = c.s.jobs.start(jobIndex, m.Name, func(ctx context.Context, j *job) (string, error) {
		defer func() {
			close(x.done)
			c.s.mediaChanged(m)
		}()
		leave, err := c.gate.wait(ctx)
		if err != nil {
			x.err = err
			return "", err
		}
		defer leave()
		x.clip, x.err = c.s.c.Reel.Probe(ctx, path, func(share float64) {
			j.share(share)
			if j.tellsMedia() {
				c.s.mediaChanged(m)
			}
		})
		if ctx.Err() != nil {
			x.err = context.Canceled
		}
		if x.err == nil && c.s.c.Index != nil {
			c.s.c.Index.Keep(m.SHA256, x.clip)
		}
		return m.SHA256, x.err
	})
	return x, nil
}

// known stores an index that was made already.
func (c *clips) known(sha, path string, clip mark.Clip) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if x := c.of[sha]; x != nil && (!x.ended() || x.err == nil) {
		return
	}
	x := &index{path: path, clip: clip, done: make(chan struct{})}
	close(x.done)
	c.of[sha] = x
	if c.s.c.Index != nil {
		c.s.c.Index.Keep(sha, clip)
	}
}

// forget drops a refused index, so that the video is looked at anew.
func (c *clips) forget(sha string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if x := c.of[sha]; x != nil && x.ended() && x.err != nil {
		delete(c.of, sha)
	}
}

// drop ends and forgets an index: its video is gone.
func (c *clips) drop(sha string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if x := c.of[sha]; x != nil && x.job != nil && !x.ended() {
		x.job.cancel()
	}
	delete(c.of, sha)
}

// look returns the index of a video if there is one, without beginning it.
func (c *clips) look(sha string) *index {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.of[sha]
}

// clip returns a video of the library with its path. It waits for the index, which
// goes on where the wait is given up. Errors: study.ErrNotFound; what the reel
// says of a video that it cannot read.
func (s *Server) clip(ctx context.Context, sha string) (mark.Clip, string, error) {
	x := s.clips.look(sha)
	if x == nil || x.ended() && x.err != nil {
		m, err := s.medium(ctx, sha)
		if err != nil {
			return mark.Clip{}, "", err
		}
		if x, err = s.clips.start(ctx, m); err != nil {
			return mark.Clip{}, "", err
		}
	}
	select {
	case <-x.done:
		return x.clip, x.path, x.err
	case <-ctx.Done():
		return mark.Clip{}, "", ctx.Err()
	case <-s.life.Done():
		return mark.Clip{}, "", errClosing
	}
}

// footage reads the videos of a touch by their content: what was indexed is not
// looked at again. Give study.Read its path as ReadOptions.Path.
type footage struct {
	study.Reel
	s *Server
	// shas has the content behind each path that was handed out.
	mu   sync.Mutex
	shas map[string]string
}

// footage returns what reads the videos of one touch.
func (s *Server) footage() *footage {
	return &footage{Reel: s.c.Reel, s: s, shas: map[string]string{}}
}

// path says where a video of the library lies.
func (f *footage) path(ctx context.Context) func(study.Video) (string, error) {
	return func(v study.Video) (string, error) {
		path, err := f.s.c.Shelf.Library.MediaPath(ctx, v.SHA256)
		if err != nil {
			return "", err
		}
		f.mu.Lock()
		defer f.mu.Unlock()
		f.shas[path] = v.SHA256
		return path, nil
	}
}

// Probe returns the index of a video that path handed out, waiting for it where it
// is being made.
func (f *footage) Probe(ctx context.Context, path string, progress func(share float64)) (mark.Clip, error) {
	f.mu.Lock()
	sha, ok := f.shas[path]
	f.mu.Unlock()
	if !ok {
		return f.Reel.Probe(ctx, path, progress)
	}
	clip, _, err := f.s.clip(ctx, sha)
	return clip, err
}

// gate bounds how much of one kind of work goes on at once.
type gate struct {
	slots chan struct{}
	queue chan struct{}
}

// Bounds of expensive requests.
const (
	maxDecoding = 3
	maxReading  = 2
	maxTakingIn = 4
	// maxQueue is how many may wait at a gate before others are turned away.
	maxQueue = 64
)

func newGate(n int) *gate { return &gate{make(chan struct{}, n), make(chan struct{}, maxQueue)} }

// enter waits for a slot; leave must be called. Errors: errBusy where too many wait
// already; that of ctx.
func (g *gate) enter(ctx context.Context) (leave func(), err error) {
	select {
	case g.queue <- struct{}{}:
	default:
		return nil, errBusy
	}
	defer func() { <-g.queue }()
	return g.wait(ctx)
}

// wait is enter for work that may wait however many do.
func (g *gate) wait(ctx context.Context) (leave func(), err error) {
	select {
	case g.slots <- struct{}{}:
		return func() { <-g.slots }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
