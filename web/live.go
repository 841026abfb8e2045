package web

import "context"

func (s *Server) live(ctx context.Context, in *inLive) (*body[Live], error) { return nil, notYet }
