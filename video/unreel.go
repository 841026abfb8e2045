package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"runtime"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// Limits of an unreeled take.
const (
	// heldBytes of brightness stay in memory; a longer take is laid out in a
	// temporary file: 290 frames of 720p or 129 of 1080p.
	heldBytes = 256 << 20
	// recentBytes of a take that lies in a file are kept at hand: more frames than
	// lie between two marks.
	recentBytes = 96 << 20
)

// Unreel begins to decode the brightness of the frames from and to and all
// between, and hands them out in any order while it goes on: a frame that is not
// there yet is waited for. Up to heldBytes stay in memory, the rest lies in a
// temporary file that has no name where the system allows it, so that nothing is
// left behind. A frame that is damaged beyond decoding gives ErrDamaged.
//
// Errors: those of Frames, at the first frame that they concern; ErrDiskFull.
func (e *engine) Unreel(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame) (study.Greys, error) {
	return e.unreel(ctx, path, clip, from, to, heldBytes)
}

// unreel keeps up to held bytes in memory.
func (e *engine) unreel(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, held int) (study.Greys, error) {
	if err := checkRange(path, clip, from, to); err != nil {
		return nil, err
	}
	n := int(to-from) + 1
	u := &unreeled{path: path, w: clip.Width, h: clip.Height, from: from, n: n, held: make([][]byte, n), next: 0}
	u.more.L = &u.mu
	if n*u.size() > held {
		f, err := os.CreateTemp("", "mesure-frames-*")
		if err != nil {
			return nil, ErrDiskFull.on(os.TempDir(), err)
		}
		u.file, u.named = f, f.Name()
		if runtime.GOOS != "windows" { // an open file may lose its name there only when closed
			_ = os.Remove(f.Name())
			u.named = ""
		}
		u.keep = max(4, min(recentBytes, held/2)/u.size())
	}
	ctx, u.cancel = context.WithCancel(ctx)
	u.work.Go(func() {
		err := e.Frames(ctx, path, clip, from, to, u.take)
		u.mu.Lock()
		u.err, u.over = err, true
		u.more.Broadcast()
		u.mu.Unlock()
	})
	return u, nil
}

// unreeled fulfils study.Greys.
type unreeled struct {
	path    string
	w, h, n int
	from    mark.Frame
	cancel  context.CancelFunc
	work    sync.WaitGroup

	mu   sync.Mutex
	more sync.Cond
	// next is the first frame that is not there yet, over that none will come.
	next int
	over bool
	err  error
	// held has the frames in memory, nil for those that are not.
	held [][]byte
	// file has the frames of a long take, written tells which; recent lists those in
	// memory, the latest used last, keep of them at most.
	file    *os.File
	named   string
	written []bool
	recent  []int
	keep    int
}

func (u *unreeled) size() int { return u.w * u.h }

// take keeps the brightness of one frame.
func (u *unreeled) take(f Frame) error {
	i := int(f.Number - u.from)
	y := append([]byte(nil), f.Y[:u.size()]...)
	if u.file != nil {
		if _, err := u.file.WriteAt(y, int64(i)*int64(u.size())); err != nil {
			return ErrDiskFull.on(os.TempDir(), err)
		}
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.held[i] = y
	if u.file != nil {
		if u.written == nil {
			u.written = make([]bool, u.n)
		}
		u.written[i] = true
		u.used(i)
	}
	u.next = i + 1
	u.more.Broadcast()
	return nil
}

// used puts a frame of a long take last and forgets the one unused longest.
func (u *unreeled) used(i int) {
	for k, r := range u.recent {
		if r == i {
			u.recent = append(u.recent[:k], u.recent[k+1:]...)
			break
		}
	}
	u.recent = append(u.recent, i)
	for len(u.recent) > u.keep {
		u.held[u.recent[0]] = nil
		u.recent = u.recent[1:]
	}
}

// Gray returns the brightness of one frame.
func (u *unreeled) Gray(f mark.Frame) (*image.Gray, error) {
	i := int(f - u.from)
	if i < 0 || i >= u.n {
		return nil, ErrNoFrame.with(fmt.Sprintf("frame %d was not unreeled", f), ErrNoFrame.Mend).on(u.path, nil)
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	for u.next <= i && !u.over {
		u.more.Wait()
	}
	if u.held[i] == nil && u.file != nil && u.written != nil && u.written[i] {
		b := make([]byte, u.size())
		if _, err := u.file.ReadAt(b, int64(i)*int64(u.size())); err != nil {
			return nil, ErrDiskFull.on(os.TempDir(), err)
		}
		u.held[i] = b
	}
	if u.held[i] == nil {
		if u.err != nil {
			return nil, u.err
		}
		return nil, ErrDamaged.with(fmt.Sprintf("frame %d is damaged and cannot be decoded", f), "use the frame before or after it").on(u.path, nil)
	}
	if u.file != nil {
		u.used(i)
	}
	return &image.Gray{Pix: u.held[i], Stride: u.w, Rect: image.Rect(0, 0, u.w, u.h)}, nil
}

// Close ends the decoding and forgets the frames.
func (u *unreeled) Close() error {
	u.cancel()
	u.work.Wait()
	u.mu.Lock()
	defer u.mu.Unlock()
	u.held, u.next, u.over = make([][]byte, u.n), u.n, true
	if u.err == nil {
		u.err = errors.New("video: the take was closed")
	}
	if u.file == nil {
		return nil
	}
	err := u.file.Close()
	if u.named != "" {
		err = errors.Join(err, os.Remove(u.named))
	}
	u.file = nil
	return err
}
