package web

import (
	"context"
	"time"
)

// Shelf is what the list of touches is made from.
type Shelf interface {
	// Touches returns the touches of the library, oldest first.
	Touches(ctx context.Context) ([]Touch, error)
}

// Touch is one touch of the library as the list shows it.
type Touch struct {
	ID    string
	Title string
	// Of names the bout.
	Of    string
	Saved time.Time
}
