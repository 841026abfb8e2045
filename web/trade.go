package web

import "context"

func (s *Server) trade(ctx context.Context, _ *struct{}) (*body[Trade], error) { return nil, notYet }
