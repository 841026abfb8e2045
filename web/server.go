package web

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"mesure/show/clip"
	"mesure/sport/mark"
	"mesure/study"
)

// Limits of one connection: a local browser needs far less, and a stalled one
// must not hold the server. There is no limit on a whole request: an upload of a
// bout takes as long as it takes. See patience for those within one.
const (
	headerTimeout = 5 * time.Second
	idleTimeout   = 2 * time.Minute
	maxHeader     = 64 << 10
	// graceTime is how long requests under way may take when serving ends.
	graceTime = 2 * time.Second
)

// Config is what a server is made of.
type Config struct {
	// Shelf holds the bouts and touches, Reel reads their videos.
	Shelf study.Shelf
	Reel  study.Reel
	// Index keeps what is known of the videos from one run to the next; nil keeps
	// nothing.
	Index Index
	// Follow follows a touch through its takes, as study.Follow does; the footage has the
	// index of every video already. Nil means that this program cannot.
	Follow func(ctx context.Context, t *study.Touch, footage study.Footage, o study.FollowOptions) (*study.Following, error)
	// Followings keeps what came of it from one run to the next; nil keeps nothing.
	Followings Followings
	// Demo puts the invented bout into the library and returns its name; asked
	// twice, it returns the same. Nil means that this program has none.
	Demo func(ctx context.Context, progress func(share float64)) (study.ID, error)
	// StudioOf makes what decodes and writes the clip of a touch that was read; others are
	// the readings of what it plays beside, by clip.Other.Touch. Nil means that this
	// program cannot.
	StudioOf func(ctx context.Context, told *study.Reading, others map[string]*study.Reading) (clip.Studio, error)
	// Pieces is a folder for finished pieces of clips, so that a render that was cut short
	// goes on where it was; empty keeps none. Whoever wires it bounds it.
	Pieces string
	// Made is a folder for finished clips and hand-offs, which the server bounds; empty
	// takes one that goes with the server.
	Made string
	// Explain says what an error of another room means; the second result is false
	// for one that it does not know. Nil knows none.
	Explain func(error) (Fault, bool)
	// Desk is the built desk with index.html at its root; nil where the program was
	// built without it.
	Desk fs.FS
	// Folder is where the library lies, as the salle names it.
	Folder string
	// Program names the program and its version, for what it writes.
	Program string
	// Hosts are names and addresses besides those of this machine by which a browser
	// may call the server.
	Hosts []string
	// NoPaths refuses to take in files by their path on this machine: where other
	// machines may call the server, they must not name files of this one.
	NoPaths bool
	// MaxUpload is the largest video taken in, in bytes; zero means 256 GiB.
	MaxUpload int64
}

// Index keeps descriptions of videos by the SHA-256 of their content. What it has
// can be found anew at any time, so it tells no errors.
type Index interface {
	// Clip returns a description that was kept.
	Clip(sha256 string) (mark.Clip, bool)
	Keep(sha256 string, clip mark.Clip)
}

// Server serves a library to a browser.
type Server struct {
	c       Config
	handler http.Handler
	// life ends when the server is closed; end ends it.
	life context.Context
	end  context.CancelFunc

	events   *events
	jobs     *jobs
	clips    *clips
	papers   *papers
	pictures *pictures
	albums   albums
	follows  *follows
	// decoding bounds how many requests decode pictures, reading how many read a
	// touch, takingIn how many videos are copied, at once.
	decoding, reading, takingIn *gate

	// readings keeps those whose timing is asked for.
	readings readings
	// knowns has what the touches of a bout show of its fencers.
	knowns knowns
	// used has how often each word stands on the staves of the library.
	used wordsUsed

	// tolds has the readings of the touches that are told, films their clips as they can
	// be looked at, making the files that are being made.
	tolds  toldReadings
	films  films
	making making

	// threads has what was lately asked of the tactics of bouts, turns counts the changes
	// of documents that it holds for.
	threads threads
	turns   atomic.Int64

	// cameras keeps what was fitted for readings at the desk.
	cameras *study.Cameras

	// read is study.Read; a test puts another in its place.
	read func(ctx context.Context, t *study.Touch, footage study.Footage, o study.ReadOptions) (*study.Reading, error)

	// headStart is how long a new video is looked at before it is in its bout.
	headStart time.Duration

	naming sync.Mutex // held while a document comes to name a video, and while one goes that none names
	demo   demoState
}

// New makes a server; Close ends what it does in the background.
func New(c Config) *Server {
	if c.MaxUpload == 0 {
		c.MaxUpload = 256 << 30
	}
	s := &Server{c: c, headStart: headStart, decoding: newGate(maxDecoding), reading: newGate(maxReading), takingIn: newGate(maxTakingIn), cameras: new(study.Cameras)}
	s.life, s.end = context.WithCancel(context.Background())
	s.events = newEvents()
	s.jobs = newJobs(s)
	s.clips = newClips(s)
	s.papers = newPapers(s)
	s.pictures = newPictures(s)
	s.follows = newFollows(s)
	s.read = study.Read
	mux := http.NewServeMux()
	s.routes(humago.New(mux, apiConfig()))
	s.plainRoutes(mux)
	s.handler = s.guard(compressed(mux))
	return s
}

// plainRoutes registers what is not described by the interface: files, pictures,
// the stream of events and the pages.
func (s *Server) plainRoutes(mux *http.ServeMux) {
	mux.HandleFunc("POST /api/media", s.upload)
	mux.HandleFunc("GET /api/events", s.stream)
	mux.HandleFunc("GET /media/{sha256}/video", s.video)
	mux.HandleFunc("GET /media/{sha256}/at/{seconds}", s.at)
	s.frameRoutes(mux)
	s.pictureRoutes(mux)
	mux.HandleFunc("GET /look.css", look)
	mux.HandleFunc("GET "+fontPath+"{file}", font)
	s.deskRoutes(mux)
}

// Handler answers every request.
func (s *Server) Handler() http.Handler { return s.handler }

// Close ends every job and every stream of events.
func (s *Server) Close() {
	s.end()
	s.events.close()
	s.jobs.close()
}

// Serve answers requests on a listener until ctx ends, then lets those under
// way finish and closes the server. It closes the listener. An end by ctx is no
// error.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{Handler: s.handler, ReadHeaderTimeout: headerTimeout, IdleTimeout: idleTimeout, MaxHeaderBytes: maxHeader}
	ended := make(chan error, 1)
	go func() { ended <- h.Serve(l) }()
	select {
	case err := <-ended:
		s.Close()
		return err
	case <-ctx.Done():
	}
	s.Close()
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), graceTime)
	defer cancel()
	if err := h.Shutdown(grace); err != nil {
		h.Close()
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
