package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

const (
	// headStart is how long a video is looked at before the answer: what is no video
	// is refused at once, and a long bout is not waited for.
	headStart = 1500 * time.Millisecond
	// maxName is how many letters the name of a video keeps.
	maxName = 120
	// drained is how much of a refused upload is still read, so that the browser gets
	// to see the answer.
	drained = 64 << 20
)

// added is the answer to an upload.
type added struct {
	Media Media    `json:"media"`
	Bout  study.ID `json:"bout"`
}

// upload takes a video in as it comes. A connection that is closed before its end
// leaves nothing behind.
func (s *Server) upload(w http.ResponseWriter, r *http.Request) {
	a, err := s.takeUpload(r)
	if err != nil {
		if r.Context().Err() == nil {
			io.CopyN(io.Discard, r.Body, drained)
		}
		s.fail(w, r, err)
		return
	}
	write(w, a)
}

func (s *Server) takeUpload(r *http.Request) (*added, error) {
	ctx, of := r.Context(), study.ID(r.URL.Query().Get("bout"))
	if of != "" {
		if _, err := s.c.Shelf.Bout(ctx, of); err != nil {
			return nil, err
		}
	}
	switch {
	case r.ContentLength == 0:
		return nil, &unfit{"The file is empty. Nothing was changed; copy or record it again."}
	case r.ContentLength > s.c.MaxUpload:
		return nil, &tooLarge{s.c.MaxUpload}
	}
	leave, err := s.takingIn.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	name := nameOfVideo(r.URL.Query().Get("name"))
	m, err := s.c.Shelf.Library.AddMedia(ctx, name, &limited{r.Body, s.c.MaxUpload, s.c.MaxUpload})
	if err != nil {
		return nil, err
	}
	of, err = s.settle(ctx, m, name, of, nil)
	if err != nil {
		return nil, err
	}
	return &added{s.media(m), of}, nil
}

// limited refuses what is longer than it may be.
type limited struct {
	r           io.Reader
	left, limit int64
}

// Read reads the next part.
func (l *limited) Read(b []byte) (int, error) {
	n, err := l.r.Read(b)
	if l.left -= int64(n); l.left < 0 {
		return n, &tooLarge{l.limit}
	}
	return n, err
}

// settle has a new video indexed and puts it into its bout, or into a new one. A
// video that cannot be read stays out: at once where that shows at once, else as
// soon as it does. clip is its index where that was made already.
func (s *Server) settle(ctx context.Context, m study.Media, name string, of study.ID, clip *mark.Clip) (study.ID, error) {
	s.clips.forget(m.SHA256)
	if clip != nil {
		path, err := s.c.Shelf.Library.MediaPath(ctx, m.SHA256)
		if err != nil {
			return "", err
		}
		s.clips.known(m.SHA256, path, *clip)
	}
	x, err := s.clips.start(ctx, m)
	if err != nil {
		return "", err
	}
	select {
	case <-x.done:
		if x.err != nil {
			s.discard(context.WithoutCancel(ctx), m.SHA256) // stays where something names it
			return "", x.err
		}
	case <-time.After(s.headStart):
	case <-ctx.Done():
		s.discard(context.WithoutCancel(ctx), m.SHA256)
		return "", ctx.Err()
	}
	if of, err = s.attach(ctx, m, name, of); err != nil {
		return "", err
	}
	s.mediaChanged(m)
	if !x.ended() {
		s.jobs.background(func() {
			select {
			case <-x.done:
				if x.err != nil && !errors.Is(x.err, context.Canceled) {
					s.detach(s.life, m, of)
					s.discard(s.life, m.SHA256)
				}
			case <-s.life.Done():
			}
		})
	}
	return of, nil
}

// defaultTouches is how many touches a new bout goes to until its sheet says
// otherwise: direct elimination.
const defaultTouches = 15

// attach puts a video into a bout; with none named, into a new one that is called
// after the file. The library may know the same video by another name.
func (s *Server) attach(ctx context.Context, m study.Media, name string, of study.ID) (study.ID, error) {
	s.naming.Lock()
	defer s.naming.Unlock()
	if _, err := s.c.Shelf.Library.MediaPath(ctx, m.SHA256); err != nil {
		return "", err
	}
	video := study.Video{ID: "video-1", File: m.Name, SHA256: m.SHA256}
	if of == "" {
		sheet := &study.BoutSheet{Bout: bout.Bout{Event: titleOfVideo(name), Weapon: bout.Epee, Touches: defaultTouches}, Videos: []study.Video{video}}
		b, err := s.c.Shelf.AddBout(ctx, "", "add the video "+name, sheet)
		if err != nil {
			return "", err
		}
		s.changed(b.Document)
		return b.Document.ID, nil
	}
	return of, s.savedAnew(ctx, of, "add the video "+name, func(b *study.BoutSheet) bool {
		if slices.ContainsFunc(b.Videos, func(v study.Video) bool { return v.SHA256 == m.SHA256 }) {
			return false
		}
		taken := func(id string) bool {
			return slices.ContainsFunc(b.Videos, func(v study.Video) bool { return v.ID == id })
		}
		for n := len(b.Videos) + 1; n == len(b.Videos)+1 || taken(video.ID); n++ {
			video.ID = fmt.Sprintf("video-%d", n)
		}
		b.Videos = append(slices.Clip(b.Videos), video)
		return true
	})
}

// detach takes a video that turned out to be unreadable out of its bout, unless a
// line was written on it meanwhile. A bout that was made for it and is as it was
// goes with it.
func (s *Server) detach(ctx context.Context, m study.Media, of study.ID) {
	b, err := s.c.Shelf.Bout(ctx, of)
	if err != nil {
		return
	}
	if b.Document.Revision == 1 && len(b.Sheet.Videos) == 1 && len(b.Sheet.Bout.Sheet) == 0 {
		if s.c.Shelf.Library.Delete(ctx, of, 1) == nil {
			s.removed(of, study.KindBout)
		}
		return
	}
	s.savedAnew(ctx, of, "take the unreadable video "+m.Name+" out", func(b *study.BoutSheet) bool {
		i := slices.IndexFunc(b.Videos, func(v study.Video) bool { return v.SHA256 == m.SHA256 })
		if i < 0 || slices.ContainsFunc(b.Bout.Sheet, func(p bout.Phrase) bool { return p.Video == b.Videos[i].ID }) {
			return false
		}
		b.Videos = slices.Delete(slices.Clone(b.Videos), i, i+1)
		return true
	})
}

// nameOfVideo is the last part of a file's name, without what does not print.
func nameOfVideo(name string) string {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	name = strings.TrimSpace(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, "")))
	if r := []rune(name); len(r) > maxName {
		name = string(r[len(r)-maxName:]) // the ending tells what it is
	}
	if name == "" {
		name = "video"
	}
	return name
}

// titleOfVideo makes the title of a bout from the name of its video.
func titleOfVideo(name string) string {
	if ext := filepath.Ext(name); ext != name {
		name = strings.TrimSuffix(name, ext)
	}
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '_' || unicode.IsSpace(r) }), " ")
}

// importPath copies a video from this machine in the background.
func (s *Server) importPath(ctx context.Context, in *inImport) (*body[Job], error) {
	if s.c.NoPaths {
		return nil, &unfit{"Mesure is open to other machines, so it takes no files by their path. Nothing was changed; drop the file onto the page."}
	}
	path, size, err := fileAt(in.Body.Path)
	if err != nil {
		return nil, err
	}
	if in.Body.Bout != "" {
		if _, err := s.c.Shelf.Bout(ctx, in.Body.Bout); err != nil {
			return nil, err
		}
	}
	// What is no video is refused before it is copied.
	look, cancel := context.WithTimeout(ctx, s.headStart)
	defer cancel()
	var clip *mark.Clip
	if c, err := s.c.Reel.Probe(look, path, nil); err == nil {
		clip = &c
	} else if look.Err() == nil {
		return nil, err
	}
	j := s.jobs.start(jobCopy, filepath.Base(path), func(ctx context.Context, j *job) (string, error) {
		leave, err := s.takingIn.wait(ctx)
		if err != nil {
			return "", err
		}
		defer leave()
		f, err := os.Open(path)
		if err != nil {
			return "", fileTrouble(path, err)
		}
		defer f.Close()
		name := nameOfVideo(path)
		m, err := s.c.Shelf.Library.AddMedia(ctx, name, &counted{f, 0, size, j.share})
		if err != nil {
			return "", err
		}
		of, err := s.settle(ctx, m, name, in.Body.Bout, clip)
		return string(of), err
	})
	return &body[Job]{j.state()}, nil
}

// counted tells how much of a file was read.
type counted struct {
	r          io.Reader
	done, size int64
	tell       func(share float64)
}

// Read reads the next part.
func (c *counted) Read(b []byte) (int, error) {
	n, err := c.r.Read(b)
	c.done += int64(n)
	if c.size > 0 {
		c.tell(float64(c.done) / float64(c.size))
	}
	return n, err
}

// fileAt returns the path and size of a file that was named by hand: quotes around
// it, file:// before it and ~ for the home folder are understood.
func fileAt(named string) (string, int64, error) {
	path := strings.Trim(strings.TrimSpace(named), `"'`)
	if u, err := url.Parse(path); err == nil && u.Scheme == "file" {
		path = u.Path
	}
	if rest, ok := strings.CutPrefix(path, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", 0, &unfit{"The home folder of this machine is not known. Nothing was changed; write the whole path."}
		}
		path = home + rest
	}
	switch {
	case path == "":
		return "", 0, &unfit{"No file was named. Nothing was changed; write its whole path."}
	case strings.ContainsRune(path, 0) || !filepath.IsAbs(path):
		return "", 0, &unfit{fmt.Sprintf("%q is not a whole path. Nothing was changed; write it from the root on, as in /home/me/bout.mp4.", path)}
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return "", 0, fileTrouble(path, err)
	case info.IsDir():
		return "", 0, &unfit{fmt.Sprintf("%s is a folder. Nothing was changed; name one video in it.", path)}
	case !info.Mode().IsRegular():
		return "", 0, &unfit{fmt.Sprintf("%s is a device or a pipe, not a file. Nothing was changed; copy the video into a file first.", path)}
	case info.Size() == 0:
		return "", 0, &unfit{fmt.Sprintf("%s is empty. Nothing was changed; copy or record it again.", path)}
	}
	return filepath.Clean(path), info.Size(), nil
}

// fileTrouble words why a file cannot be opened.
func fileTrouble(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &unfit{fmt.Sprintf("There is no file %s on this machine. Nothing was changed; look at the spelling.", path)}
	case errors.Is(err, fs.ErrPermission):
		return &unfit{fmt.Sprintf("%s may not be read. Nothing was changed; change its permissions or copy it to a folder of your own.", path)}
	}
	return &unfit{fmt.Sprintf("%s cannot be opened (%v). Nothing was changed.", path, errors.Unwrap(err))}
}

// demoState is the one job that puts the demo into the library.
type demoState struct {
	mu  sync.Mutex
	job *job
}

// addDemo puts the invented bout into the library; asked again while that goes on
// or when it is there, it answers with the same.
func (s *Server) addDemo(ctx context.Context, _ *struct{}) (*body[Job], error) {
	if s.c.Demo == nil {
		return nil, &unfit{"This program has no demo. Nothing was changed."}
	}
	s.demo.mu.Lock()
	defer s.demo.mu.Unlock()
	if j := s.demo.job; j != nil {
		now := j.state()
		if now.State == jobGoing {
			return &body[Job]{now}, nil
		}
		if now.State == jobDone {
			if _, err := s.c.Shelf.Library.Get(ctx, study.ID(now.Result)); err == nil {
				return &body[Job]{now}, nil
			}
		}
	}
	s.demo.job = s.jobs.start(jobDemo, "the invented bout", func(ctx context.Context, j *job) (string, error) {
		id, err := s.c.Demo(ctx, j.share)
		if err != nil {
			return "", err
		}
		if d, err := s.c.Shelf.Library.Get(ctx, id); err == nil {
			s.changed(d)
		}
		return string(id), nil
	})
	return &body[Job]{s.demo.job.state()}, nil
}
