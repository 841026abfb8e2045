package study

import "context"

// Equal returns the oldest bout of the library that says the same as this one; what its
// lines are called and which videos show it does not count. It is false where there is
// none. Errors: those of Library.List.
func (s Shelf) Equal(ctx context.Context, b *BoutSheet) (ID, bool, error) {
	have, there, err := s.equalBout(ctx, b)
	return have.Document.ID, there, err
}
