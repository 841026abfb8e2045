package bundle

import (
	"fmt"
	"io"

	"mesure/strict"
)

// The tree that files are read into, and written from.
type (
	node = strict.Node
	kind = strict.Kind
)

const (
	isNull   = strict.Null
	isBool   = strict.Bool
	isNumber = strict.Number
	isString = strict.Text
	isArray  = strict.List
	isObject = strict.Object
)

// slurp reads a whole file of at most limit bytes.
func slurp(r io.Reader, name string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: it cannot be read: %w", name, err)
	}
	if int64(len(data)) > limit {
		return nil, whole(name, "the file is larger than %d MiB, the limit of this format: split it", limit>>20)
	}
	return data, nil
}

// whole is an error about the file as a whole.
func whole(name, format string, args ...any) error {
	return &Error{Name: name, Problems: []Problem{{Text: fmt.Sprintf(format, args...)}}}
}

// plant parses a file into a tree.
func plant(data []byte, name string) (*node, error) {
	root, bad := strict.Grow(data, strict.Bounds{Depth: maxDepth, Values: maxValues, Fewer: "split it"})
	if bad != nil {
		return nil, &Error{Name: name, Problems: []Problem{*bad}}
	}
	return root, nil
}
