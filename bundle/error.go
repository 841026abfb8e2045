package bundle

import "mesure/strict"

// Problem is one thing that is wrong with a file: where, what, and how to mend it.
type Problem = strict.Problem

// Error is everything found wrong with one file, at least one problem and at
// most ten, in the order of the file.
type Error struct {
	// Name is what the caller called the file.
	Name     string
	Problems []Problem
}

// Error returns one line: the first problem, and how many more were found.
func (e *Error) Error() string { return strict.Line(e.Name, e.Problems) }

// problems collects what is wrong.
type problems struct{ strict.Problems }

func (p *problems) full() bool { return p.Full() }

func (p *problems) add(pointer, format string, args ...any) { p.Add(pointer, format, args...) }

// err returns nil where nothing is wrong.
func (p *problems) err(name string) error {
	if len(p.List) == 0 {
		return nil
	}
	return &Error{Name: name, Problems: p.List}
}

func child(pointer, key string) string  { return strict.Child(pointer, key) }
func item(pointer string, i int) string { return strict.Item(pointer, i) }
func quote(s string) string             { return strict.Quote(s) }
