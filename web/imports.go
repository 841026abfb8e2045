package web

import (
	"context"
	"sync"

	"net/http"

	"mesure/study"
)

// demoState is the one job that puts the demo into the library.
type demoState struct {
	mu  sync.Mutex
	job *job
}

func (s *Server) upload(w http.ResponseWriter, r *http.Request) { s.fail(w, r, notYet) }

func (s *Server) importPath(ctx context.Context, in *inImport) (*body[Job], error) {
	return nil, notYet
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
