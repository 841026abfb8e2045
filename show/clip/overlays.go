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
	if len(f.shots) == 0 {
		return f.nothing()
	}
	cache, drop, err := cacheBeside(path, cache)
	if err != nil {
		return err
	}
	defer drop()
	if tell == nil {
		tell = func(float64) {}
	}
	in := func(b *bound) string { return f.overlaysIn(cache, b, filepath.Ext(path)) }
	pieces, err := f.renderPieces(ctx, in, tell, func(ctx context.Context, b *bound, tell func()) error {
		return f.overlaysOf(ctx, in(b), b, s, tell)
	})
	if err != nil {
		return err
	}
	if err := s.JoinOverlays(ctx, path, pieces, f.form); err != nil {
		return err
	}
	tell(1)
	return nil
}

// overlaysOf writes the overlays of one shot.
func (f *Film) overlaysOf(ctx context.Context, path string, b *bound, s Studio, tell func()) error {
	w, h := f.Size()
	sink, err := s.Overlays(ctx, path, f.form, w, h)
	if err != nil {
		return err
	}
	err = func() error {
		img := image.NewRGBA(image.Rect(0, 0, f.st.w, f.st.h))
		c := newComposer(b, f.st)
		var was state
		for i := range b.count {
			if err := ctx.Err(); err != nil {
				return err
			}
			if now := c.at(i); i == 0 || !now.equal(was) {
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

// overlaysIn is where the overlays of a shot are kept: beside its piece of the clip, in the
// form that ending names.
func (f *Film) overlaysIn(cache string, b *bound, ending string) string {
	return filepath.Join(cache, b.key+"-overlays"+ending)
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
