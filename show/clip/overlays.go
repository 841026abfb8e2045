package clip

import (
	"context"
	"image"
	"os"
	"path/filepath"
)

// RenderOverlays writes the overlays alone, with transparency: as long as the clip, and
// frame for frame. The captions are not in them; a plate is. What is finished is kept in
// the folder cache, a shot at a time, as RenderTo keeps pieces of the clip. It returns
// what RenderTo returns.
func (f *Film) RenderOverlays(ctx context.Context, path, cache string, s Studio, tell func(share float64)) error {
	return f.render(ctx, path, cache, "-overlays"+filepath.Ext(path), tell, func(ctx context.Context, at string, p section, tell func()) error {
		return f.overlaysOf(ctx, at, p, s, tell)
	}, func(pieces []string) error {
		return s.JoinOverlays(ctx, path, pieces, f.form)
	})
}

// overlaysOf writes the overlays of one section.
func (f *Film) overlaysOf(ctx context.Context, path string, b section, s Studio, tell func()) error {
	w, h := f.Size()
	sink, err := s.Overlays(ctx, path, f.form, w, h)
	if err != nil {
		return err
	}
	err = func() error {
		img := image.NewRGBA(image.Rect(0, 0, f.st.w, f.st.h))
		c := newComposer(b.bound, f.st)
		var was state
		for i := b.from; i < b.from+b.frames; i++ {
			if err := ctx.Err(); err != nil {
				return err
			}
			if now := c.at(i); i == b.from || !now.equal(was) {
				now.alone(img)
				was = now
			}
			if err := sink.Add(img); err != nil {
				return err
			}
			tell()
		}
		return nil
	}()
	if err != nil {
		sink.Abort()
		return err
	}
	return sink.Close()
}

// cacheBeside is the folder of finished pieces: a new one beside path, which drop removes,
// where none is named.
func cacheBeside(path, cache string) (dir string, drop func(), err error) {
	if cache != "" {
		return cache, func() {}, os.MkdirAll(cache, 0o777)
	}
	if dir, err = os.MkdirTemp(filepath.Dir(path), ".pieces-*"); err != nil {
		return "", nil, err
	}
	return dir, func() { os.RemoveAll(dir) }, nil
}

// finishedPiece says whether a piece is there: a sink gives a whole one its name.
func finishedPiece(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular() && info.Size() > 0
}
