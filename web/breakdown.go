package web

import (
	"context"
)

func (s *Server) breakdown(ctx context.Context, in *inID) (*body[Breakdown], error) {
	return nil, notYet
}
