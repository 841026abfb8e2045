package demo

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"mesure/demo/picture"
	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/video"
)

// Options of Render. The zero value is what most callers want.
type Options struct {
	// Engine writes the videos; nil means what video.Choose finds.
	Engine video.Engine
	// Workers is how many frames are drawn at the same time; zero means 2.
	Workers int
	// Afresh draws everything even where the folder holds it already.
	Afresh bool
}

// Progress is called with the share of the work that is done, between 0 and 1,
// by one goroutine at a time and never with a smaller share than before.
type Progress func(share float64)

// quality is the x264 rate factor of the videos: fine enough that some of the
// sensor's noise stays in the picture.
const quality = 18

// Render writes the videos of the four touches and the truth of each to a
// folder, which it makes if it is not there, and a manifest that names them with
// their hashes. Where the manifest of this version stands there and all hashes
// match, nothing is drawn. A run that is broken off leaves no manifest and no
// half-written file.
//
// Errors: those of the engine and of the file system; the context's error.
func Render(ctx context.Context, dir string, opts Options, progress Progress) (Manifest, error) {
	if progress == nil {
		progress = func(float64) {}
	}
	return render(ctx, dir, scene.Films(), opts, progress)
}

func render(ctx context.Context, dir string, films []*scene.Film, opts Options, progress Progress) (Manifest, error) {
	truths := make([][]byte, len(films))
	for i, f := range films {
		b, err := json.Marshal(truthOf(i, f))
		if err != nil {
			return Manifest{}, fmt.Errorf("demo: the truth of touch %d cannot be written: %w", i+1, err)
		}
		truths[i] = append(b, '\n')
	}
	version := versionOf(truths)
	if !opts.Afresh {
		if m, ok := found(dir, version); ok {
			progress(1)
			return m, nil
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return Manifest{}, fmt.Errorf("the folder for the demo cannot be made: %w", err)
	}
	if err := os.Remove(filepath.Join(dir, ManifestFile)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return Manifest{}, fmt.Errorf("the old demo cannot be replaced: %w", err)
	}
	if opts.Engine == nil {
		e, err := video.Choose(video.Auto)
		if err != nil {
			return Manifest{}, err
		}
		opts.Engine = e
	}
	if opts.Workers == 0 {
		opts.Workers = 2
	}
	files, err := film(ctx, dir, films, opts, progress)
	if err != nil {
		return Manifest{}, err
	}
	for i, b := range truths {
		if err := write(filepath.Join(dir, truthFile(i)), b); err != nil {
			return Manifest{}, err
		}
		files = append(files, truthFile(i))
	}
	return sealed(dir, version, files)
}

// versionOf names what would be drawn: it follows from the truth of every frame
// and from the version of the pictures.
func versionOf(truths [][]byte) string {
	h := sha256.New()
	fmt.Fprintf(h, "pictures %s, quality %d\n", picture.Version, quality)
	for _, b := range truths {
		h.Write(b)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// reel is one video to draw.
type reel struct {
	film *scene.Film
	file string
	// parts are the shot and what its file cuts to.
	parts []part
}

// part is one shot and the hall as its camera sees it.
type part struct {
	shot  *scene.Shot
	stage *picture.Stage
}

// frames counts those of all parts.
func (r *reel) frames() int { return r.parts[0].shot.FileFrames() }

// film draws and writes every video and returns their names.
func film(ctx context.Context, dir string, films []*scene.Film, opts Options, progress Progress) ([]string, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	reels, frames := reelsOf(films)
	total := frames + stageWork*stages(reels)
	var done int
	var lock sync.Mutex
	step := func(work int) {
		lock.Lock()
		defer lock.Unlock()
		done += work
		progress(float64(done) / float64(total))
	}
	if err := setStages(ctx, reels, step); err != nil {
		return nil, err
	}
	queue := make(chan *reel, len(reels))
	for i := range reels {
		queue <- &reels[i]
	}
	close(queue)
	errs := make([]error, opts.Workers)
	var wg sync.WaitGroup
	for w := range opts.Workers {
		wg.Go(func() {
			easel := picture.NewEasel()
			for r := range queue {
				if errs[w] = r.draw(ctx, dir, easel, opts.Engine, step); errs[w] != nil {
					cancel()
					return
				}
			}
		})
	}
	wg.Wait()
	if err := firstCause(errs); err != nil {
		return nil, err
	}
	var names []string
	for i := range reels {
		names = append(names, reels[i].file)
	}
	return names, nil
}

// firstCause prefers an error that is not the cancelling of the others.
func firstCause(errs []error) error {
	var kept error
	for _, err := range errs {
		if err != nil && (kept == nil || errors.Is(kept, context.Canceled)) {
			kept = err
		}
	}
	return kept
}

// reelsOf lists every shot, the longest first, so that the workers end together.
func reelsOf(films []*scene.Film) (reels []reel, frames int) {
	for i, f := range films {
		for k := range f.Shots {
			s := &f.Shots[k]
			r := reel{film: f, file: fileOf(i, s)}
			for p := s; p != nil; p = p.Next {
				r.parts = append(r.parts, part{shot: p})
			}
			frames += r.frames()
			at := len(reels)
			for at > 0 && reels[at-1].frames() < r.frames() {
				at--
			}
			reels = append(reels[:at], append([]reel{r}, reels[at:]...)...)
		}
	}
	return reels, frames
}

// stageWork is how many frames one stage is worth in the progress.
const stageWork = 25

// stages counts the places of the camera.
func stages(reels []reel) int {
	seen := map[string]bool{}
	for i := range reels {
		for _, p := range reels[i].parts {
			seen[p.shot.Cam] = true
		}
	}
	return len(seen)
}

// setStages traces the hall once for every place of the camera.
func setStages(ctx context.Context, reels []reel, step func(work int)) error {
	made := map[string]*picture.Stage{}
	for i := range reels {
		for k := range reels[i].parts {
			p := &reels[i].parts[k]
			if made[p.shot.Cam] == nil {
				stage, err := picture.NewStage(ctx, sweeps(reels, p.shot.Cam))
				if err != nil {
					return err
				}
				made[p.shot.Cam] = stage
				step(stageWork)
			}
			p.stage = made[p.shot.Cam]
		}
	}
	return nil
}

// sweeps returns the cameras of every frame that is taken from one place.
func sweeps(reels []reel, place string) []scene.Camera {
	var cams []scene.Camera
	for i := range reels {
		for _, p := range reels[i].parts {
			if p.shot.Cam != place {
				continue
			}
			for n := range p.shot.Frames {
				cams = append(cams, reels[i].film.Camera(p.shot, p.shot.At(mark.Frame(n))))
			}
		}
	}
	return cams
}

func (r *reel) draw(ctx context.Context, dir string, easel *picture.Easel, engine video.Engine, step func(work int)) error {
	w, err := engine.Create(ctx, filepath.Join(dir, r.file), video.Spec{
		Width: scene.Width, Height: scene.Height, Rate: scene.FrameRate, Quality: quality,
	})
	if err != nil {
		return err
	}
	defer w.Abort()
	for _, p := range r.parts {
		for n := range p.shot.Frames {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := w.RGBA(p.stage.Frame(easel, r.film, p.shot, mark.Frame(n))); err != nil {
				return err
			}
			step(1)
		}
	}
	return w.Close()
}

// Duration returns how long the videos of the demo last together, in seconds of
// their files.
func Duration() quantity.Seconds {
	_, frames := reelsOf(scene.Films())
	return quantity.Seconds(float64(frames) / scene.FrameRate)
}
