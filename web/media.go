package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strconv"
	"time"

	"mesure/sport/mark"
	"mesure/study"
)

var shaWord = regexp.MustCompile(`^[0-9a-f]{64}$`)

// medium returns one video of the library.
func (s *Server) medium(ctx context.Context, sha string) (study.Media, error) {
	all, err := s.c.Shelf.Library.ListMedia(ctx)
	if err != nil {
		return study.Media{}, err
	}
	for _, m := range all {
		if m.SHA256 == sha {
			return m, nil
		}
	}
	return study.Media{}, fmt.Errorf("%w: video %s", study.ErrNotFound, sha)
}

// media describes a video as it stands now.
func (s *Server) media(m study.Media) Media {
	out := Media{SHA256: m.SHA256, Name: m.Name, Bytes: m.Bytes, State: mediaIndexing}
	x := s.clips.look(m.SHA256)
	switch {
	case x == nil:
	case !x.ended():
		out.Share = x.job.state().Share
	case errors.Is(x.err, context.Canceled):
	case x.err != nil:
		out.State, out.Trouble = mediaRefused, s.words(x.err)
	default:
		out.State, out.Share, out.Clip = mediaReady, 1, clipOf(x.clip)
	}
	return out
}

func clipOf(c mark.Clip) *Clip {
	out := &Clip{Width: c.Width, Height: c.Height, Frames: c.Frames(), Rotation: c.Rotation, Interlaced: c.Interlaced, Codec: c.Codec, Container: c.Container}
	if n := len(c.Times); n > 0 {
		out.Last = c.Times[n-1]
	}
	return out
}

// mediaChanged tells of a video's new state.
func (s *Server) mediaChanged(m study.Media) { s.events.tell("media", m.SHA256, s.media(m)) }

// mediaOf describes the videos of a document and has those indexed that are not:
// it is about to be looked at. A video that is gone is told as refused.
func (s *Server) mediaOf(ctx context.Context, videos []study.Video) ([]Media, error) {
	all, err := s.c.Shelf.Library.ListMedia(ctx)
	if err != nil {
		return nil, err
	}
	have := map[string]study.Media{}
	for _, m := range all {
		have[m.SHA256] = m
	}
	out := []Media{}
	for _, v := range videos {
		m, ok := have[v.SHA256]
		if !ok {
			out = append(out, Media{SHA256: v.SHA256, Name: v.File, State: mediaRefused, Trouble: "This video is not in the library. What was marked on it is safe; add the file again."})
			continue
		}
		if _, err := s.clips.start(ctx, m); err != nil && !errors.Is(err, study.ErrNotFound) {
			return nil, err
		}
		out = append(out, s.media(m))
	}
	return out, nil
}

func (s *Server) mediaInfo(ctx context.Context, in *inSHA) (*body[Media], error) {
	m, err := s.medium(ctx, in.SHA256)
	if err != nil {
		return nil, err
	}
	if _, err := s.clips.start(ctx, m); err != nil {
		return nil, err
	}
	return &body[Media]{s.media(m)}, nil
}

func (s *Server) removeMedia(ctx context.Context, in *inSHA) (*none, error) {
	return nil, s.discard(ctx, in.SHA256)
}

// discard removes a video that nothing names. A document that does not read might
// name it, so then nothing is removed.
func (s *Server) discard(ctx context.Context, sha string) error {
	s.naming.Lock()
	defer s.naming.Unlock()
	m, err := s.medium(ctx, sha)
	if err != nil {
		return err
	}
	for _, kind := range []study.Kind{study.KindBout, study.KindTouch} {
		docs, err := s.c.Shelf.Library.List(ctx, kind, "")
		if err != nil {
			return err
		}
		for _, d := range docs {
			videos, err := s.papers.videos(d)
			if err != nil {
				return s.stored(err)
			}
			if slices.ContainsFunc(videos, func(v study.Video) bool { return v.SHA256 == sha }) {
				return &unfit{fmt.Sprintf("%s belongs to a %s, so it stays. Nothing was changed; take it out there first.", m.Name, kind)}
			}
		}
	}
	if err := s.c.Shelf.Library.RemoveMedia(ctx, sha); err != nil {
		return err
	}
	s.clips.drop(sha)
	s.events.tell("media", sha, Media{SHA256: sha, Name: m.Name, State: mediaRemoved})
	return nil
}

func (s *Server) times(ctx context.Context, in *inFilm) (*body[Times], error) {
	clip, _, err := s.clip(ctx, in.SHA256)
	if err != nil {
		return nil, err
	}
	clip = study.Video{Fields: in.Fields}.Clip(clip)
	return &body[Times]{Times{append([]mark.FileTime{}, clip.Times...)}}, nil
}

// forever is how long a browser may keep what never changes, such as what is named
// by its content.
const forever = "private, max-age=31536000, immutable"

// video serves the file itself, by ranges where they are asked for.
func (s *Server) video(w http.ResponseWriter, r *http.Request) {
	sha := r.PathValue("sha256")
	if !shaWord.MatchString(sha) {
		s.fail(w, r, study.ErrNotFound)
		return
	}
	path, err := s.c.Shelf.Library.MediaPath(r.Context(), sha)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	f, err := os.Open(path)
	if err != nil {
		s.fail(w, r, fmt.Errorf("%w: %w", study.ErrNotFound, err))
		return
	}
	defer f.Close()
	head := make([]byte, 64)
	n, err := f.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", videoType(head[:n]))
	w.Header().Set("ETag", `"`+sha+`"`)
	w.Header().Set("Cache-Control", forever)
	http.ServeContent(w, r, "", time.Time{}, f)
}

// videoType says what a file is by its first bytes: ISO base media (ISO/IEC
// 14496-12), Matroska and WebM (RFC 9559), AVI and MPEG transport streams
// (ISO/IEC 13818-1: a sync byte every 188, or every 192 with a time code before).
func videoType(head []byte) string {
	at := func(i int, some ...string) bool {
		for _, s := range some {
			if len(head) >= i+len(s) && string(head[i:i+len(s)]) == s {
				return true
			}
		}
		return false
	}
	switch {
	case at(4, "ftypqt"), at(4, "moov", "mdat", "wide", "free", "skip"):
		return "video/quicktime"
	case at(4, "ftyp"):
		return "video/mp4"
	case at(0, "\x1a\x45\xdf\xa3") && bytes.Contains(head, []byte("webm")):
		return "video/webm"
	case at(0, "\x1a\x45\xdf\xa3"):
		return "video/x-matroska"
	case at(0, "RIFF") && at(8, "AVI "):
		return "video/x-msvideo"
	case at(0, "\x47"), at(4, "\x47"):
		return "video/mp2t"
	case at(0, "\x00\x00\x01\xba"), at(0, "\x00\x00\x01\xb3"):
		return "video/mpeg"
	}
	return "application/octet-stream"
}

// at leads from an instant of a video, in seconds of the file, to the frame that is
// shown then. It waits for the index.
func (s *Server) at(w http.ResponseWriter, r *http.Request) {
	sha := r.PathValue("sha256")
	seconds, err := strconv.ParseFloat(r.PathValue("seconds"), 64)
	if err != nil || !shaWord.MatchString(sha) {
		s.fail(w, r, study.ErrNotFound)
		return
	}
	clip, _, err := s.clip(r.Context(), sha)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := frameAddress(sha, clip.Nearest(mark.FileTime(seconds)))
	if r.URL.RawQuery != "" {
		to += "?" + r.URL.RawQuery
	}
	w.Header().Set("Cache-Control", forever)
	http.Redirect(w, r, to, http.StatusFound)
}

// frameAddress is where one frame of a video is.
func frameAddress(sha string, f mark.Frame) string {
	return fmt.Sprintf("/media/%s/frame/%d.jpg", sha, f)
}
