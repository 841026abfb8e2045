package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"mesure/show/handoff"
	"mesure/study"
)

// What can be made of a telling that takes long, and the ends of the files' names.
const (
	whatClip    = "clip"
	whatHandOff = "hand-off"

	endCaptions = ".vtt"
	endHandOff  = ".zip"
)

// Bounds of the folder of finished files: a few months of breakdowns of a coach
// (assumed), and never the whole disk.
const (
	madeFiles = 24
	madeBytes = 4 << 30
)

// making is the work on clips and hand-offs, by touch and what is made: one at a time
// goes on for each, and a newer one takes its place.
type making struct {
	mu   sync.Mutex
	jobs map[string]*job
	// gate lets one be written at a time: it uses every core by itself. It is made with
	// the first.
	gate *gate
	// own is the folder of finished files where none was given.
	own string
}

// of lists the work on a touch that goes on.
func (m *making) of(id study.ID) []Job {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := []Job{}
	for _, what := range []string{whatClip, whatHandOff} {
		if j := m.jobs[what+" "+string(id)]; j != nil {
			if now := j.state(); now.State == jobGoing {
				out = append(out, now)
			}
		}
	}
	return out
}

// makeIt begins to make the clip or the hand-off of a touch as its telling is stored;
// a draft is kept first, so that what was made is what stands on the page.
func (s *Server) makeIt(ctx context.Context, in *inMake) (*body[Job], error) {
	if s.c.StudioOf == nil {
		return nil, noStudio
	}
	id, what := in.ID, in.Body.What
	now, err := s.tellingNow(ctx, id)
	if err != nil {
		return nil, err
	}
	if now.doc.Revision == 0 {
		if _, err := s.keepDraft(ctx, id); err != nil && !errors.Is(err, study.ErrConflict) {
			return nil, err
		}
	}
	if now.film == nil {
		return nil, &unfit{now.noFilm}
	}
	about := now.read.r.Touch.Title
	if about == "" {
		about = "a touch"
	}
	m := &s.making
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.jobs == nil {
		m.jobs, m.gate = map[string]*job{}, newGate(1)
	}
	before := m.jobs[what+" "+string(id)]
	if before != nil {
		before.cancel() // its finished shots are kept, so nothing is lost by beginning anew
	}
	j := s.jobs.start(what, about, func(ctx context.Context, j *job) (string, error) {
		if before != nil {
			select {
			case <-before.ended:
			case <-ctx.Done():
				return "", ctx.Err()
			}
		}
		leave, err := m.gate.wait(ctx)
		if err != nil {
			return "", err
		}
		defer leave()
		return s.make(ctx, j, id, what)
	})
	m.jobs[what+" "+string(id)] = j
	j.of(id)
	return &body[Job]{j.state()}, nil
}

// followShare is the share of the work that following takes, where it is to be done.
const followShare = 0.3

// make follows the touch where it was not followed, then writes what was asked for
// under the name of its film. A film that was written is not written again.
func (s *Server) make(ctx context.Context, j *job, id study.ID, what string) (string, error) {
	begin := 0.0
	if followed, err := s.followFirst(ctx, j, id); err != nil {
		return "", err
	} else if followed {
		begin = followShare
	}
	now, err := s.tellingNow(ctx, id)
	if err != nil {
		return "", err
	}
	if now.film == nil {
		return "", &unfit{now.noFilm}
	}
	dir, err := s.madeFolder()
	if err != nil {
		return "", err
	}
	m := now.film
	if what == whatHandOff {
		name := madeName(id, m.key) + endHandOff
		doing := func(what string, share float64) { j.doing(what, begin+(1-begin)*share) }
		return name, once(filepath.Join(dir, name), func(path string) error { return s.handOff(ctx, path, now, doing) })
	}
	name := madeName(id, m.key) + endOf(m.form.File)
	j.doing("rendering the clip", begin)
	err = once(filepath.Join(dir, name), func(path string) error {
		return m.film.RenderTo(ctx, path, s.c.Pieces, m.studio, func(share float64) { j.share(begin + (1-begin)*share) })
	})
	if err != nil {
		return "", err
	}
	err = once(filepath.Join(dir, madeName(id, m.key)+endCaptions), func(path string) error {
		f, err := os.Create(path)
		if err != nil {
			return err
		}
		defer f.Close()
		if err := handoff.WriteVTT(f, m.film.Cues()); err != nil {
			return err
		}
		return f.Close()
	})
	s.boundMade(dir, madeName(id, m.key))
	return name, err
}

// drawn is how many shots of a film are drawn and kept.
func (s *Server) drawn(m *madeFilm) (n int) {
	if s.c.Pieces == "" {
		return 0
	}
	for _, p := range m.film.Pieces() {
		if m.film.Drawn(s.c.Pieces, p) {
			n++
		}
	}
	return n
}

// once writes a file that is not there yet: whole, or not at all.
func once(path string, write func(path string) error) error {
	if _, err := os.Stat(path); err == nil {
		now := time.Now()
		_ = os.Chtimes(path, now, now) // the oldest go first
		return nil
	}
	tmp := filepath.Join(filepath.Dir(path), "new-"+filepath.Base(path))
	defer os.Remove(tmp)
	if err := write(tmp); err != nil {
		return err
	}
	return os.Rename(tmp, path)
}

// followFirst follows a touch as it is stored, where a take of it was not followed since
// it was last changed. A touch that cannot be followed is told without.
func (s *Server) followFirst(ctx context.Context, j *job, id study.ID) (bool, error) {
	if s.c.Follow == nil {
		return false, nil
	}
	on, err := s.c.Shelf.Touch(ctx, id)
	if err != nil {
		return false, err
	}
	kept, _ := s.follows.kept(id)
	done := true
	for _, k := range on.Touch.Takes {
		done = done && kept.Of[k.ID] != "" && kept.Of[k.ID] == followedOf(on.Touch, k)
	}
	if done || len(on.Touch.Marks) == 0 {
		return false, nil
	}
	f := s.follows.start(id, on.Touch, nil)
	look := time.NewTicker(tellEvery)
	defer look.Stop()
	for {
		select {
		case <-f.ended:
			return true, ctx.Err()
		case <-ctx.Done():
			f.cancel()
			return false, ctx.Err()
		case <-look.C:
			j.doing("following the points", followShare*f.state().Share)
		}
	}
}

// madeFolder is where finished files lie.
func (s *Server) madeFolder() (string, error) {
	if s.c.Made != "" {
		return s.c.Made, os.MkdirAll(s.c.Made, 0o700)
	}
	s.making.mu.Lock()
	defer s.making.mu.Unlock()
	if s.making.own == "" {
		dir, err := os.MkdirTemp("", "mesure-made-")
		if err != nil {
			return "", err
		}
		s.making.own = dir
		context.AfterFunc(s.life, func() { os.RemoveAll(dir) })
	}
	return s.making.own, nil
}

// madeName begins the names of the files that were made of a film of a touch.
func madeName(id study.ID, film string) string { return madeOf(id) + film }

func madeOf(id study.ID) string {
	sum := sha256.Sum256([]byte(id))
	return hex.EncodeToString(sum[:8]) + "-"
}

// endOf is the ending of a clip's name.
func endOf(file string) string {
	if file == "webm" {
		return ".webm"
	}
	return ".mp4"
}

// madeFile is what the name of a finished file looks like.
var madeFile = regexp.MustCompile(`^[0-9a-f]{16}-[0-9a-f]{32}\.(mp4|webm|vtt|zip)$`)

// madeOf lists the finished files of a touch: those of its film as it is now, else the
// latest of an older one.
func (s *Server) madeOf(id study.ID, now *madeFilm) []MadeFile {
	out := []MadeFile{}
	dir, err := s.madeFolder()
	if err != nil {
		return out
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return out
	}
	type file struct {
		MadeFile
		at time.Time
	}
	best := map[string]file{}
	for _, e := range entries {
		if !madeFile.MatchString(e.Name()) || !strings.HasPrefix(e.Name(), madeOf(id)) {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue // it is gone
		}
		end := filepath.Ext(e.Name())
		what := map[string]string{".mp4": whatClip, ".webm": whatClip, endCaptions: "captions", endHandOff: whatHandOff}[end]
		f := file{MadeFile{What: what, Name: downloadName(id, what, end), Bytes: info.Size(), Old: now == nil || !strings.HasPrefix(e.Name(), madeName(id, now.key)),
			Href: fmt.Sprintf("/api/touches/%s/made/%s", url.PathEscape(string(id)), e.Name())}, info.ModTime()}
		if b, there := best[what]; !there || b.Old && (!f.Old || f.at.After(b.at)) {
			best[what] = f
		}
	}
	for _, what := range []string{whatClip, "captions", whatHandOff} {
		if f, there := best[what]; there {
			out = append(out, f.MadeFile)
		}
	}
	return out
}

func downloadName(id study.ID, what, end string) string { return string(id) + "-" + what + end }

// made hands out a finished file, by ranges where they are asked for; with ?keep=1 it is
// to be kept.
func (s *Server) made(w http.ResponseWriter, r *http.Request) {
	id, name := study.ID(r.PathValue("id")), r.PathValue("file")
	dir, err := s.madeFolder()
	if err != nil || !madeFile.MatchString(name) || !strings.HasPrefix(name, madeOf(id)) {
		s.fail(w, r, study.ErrNotFound)
		return
	}
	f, err := os.Open(filepath.Join(dir, name))
	if errors.Is(err, fs.ErrNotExist) {
		err = study.ErrNotFound
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	defer f.Close()
	end := filepath.Ext(name)
	kind := map[string]string{".mp4": "video/mp4", ".webm": "video/webm", endCaptions: "text/vtt; charset=utf-8", endHandOff: "application/zip"}[end]
	w.Header().Set("Content-Type", kind)
	w.Header().Set("ETag", `"`+name+`"`)
	w.Header().Set("Cache-Control", forever)
	if r.URL.Query().Get("keep") == "1" {
		what := map[string]string{endCaptions: "captions", endHandOff: whatHandOff}[end]
		if what == "" {
			what = whatClip
		}
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": downloadName(id, what, end)}))
	}
	http.ServeContent(w, r, "", time.Time{}, f)
}

// boundMade removes the oldest finished files, never those that were just made.
func (s *Server) boundMade(dir, fresh string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	type file struct {
		path string
		size int64
		at   time.Time
	}
	var all []file
	bytes := int64(0)
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !madeFile.MatchString(e.Name()) {
			continue
		}
		bytes += info.Size()
		if !strings.HasPrefix(e.Name(), fresh) {
			all = append(all, file{filepath.Join(dir, e.Name()), info.Size(), info.ModTime()})
		}
	}
	slices.SortFunc(all, func(a, b file) int { return a.at.Compare(b.at) })
	for i := 0; i < len(all) && (len(all)-i > madeFiles || bytes > madeBytes); i++ {
		if os.Remove(all[i].path) == nil {
			bytes -= all[i].size
		}
	}
}
