package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"mesure/store/sqlite"
	"mesure/study"
)

// fault is an error as the user reads it: where, what and, on a second line,
// how to mend it.
type fault struct {
	// code is ok where the wrapped error decides.
	code code
	// where names a file, a folder or a flag.
	where string
	// text is what happened; empty where the wrapped error says it.
	text string
	// hint says what to do; it stands on a line of its own.
	hint string
	err  error
}

func (f *fault) Error() string {
	var parts []string
	if f.where != "" {
		parts = append(parts, f.where)
	}
	if f.text != "" {
		parts = append(parts, f.text)
	}
	if f.err != nil {
		parts = append(parts, plain(f.err))
	}
	return strings.Join(parts, ": ")
}

func (f *fault) Unwrap() error { return f.err }

// at says in which file or folder an error happened; nil stays nil.
func at(where string, err error) error {
	if err == nil {
		return nil
	}
	return &fault{where: where, err: err}
}

// misuse is a mistake on the command line.
func misuse(format string, args ...any) error {
	return &fault{code: wrongUse, text: fmt.Sprintf(format, args...)}
}

// misuseHint is misuse with a hint line.
func misuseHint(hint, format string, args ...any) error {
	return &fault{code: wrongUse, text: fmt.Sprintf(format, args...), hint: hint}
}

// hinter is an error of another room that knows how to mend it.
type hinter interface{ Hint() string }

// hintOf returns the hint that goes with an error, or nothing.
func hintOf(err error) string {
	for f, rest := (*fault)(nil), err; errors.As(rest, &f); rest = f.err {
		if f.hint != "" {
			return f.hint
		}
	}
	var r *study.Refusal
	if errors.As(err, &r) && r.Mend != "" {
		return r.Mend
	}
	var h hinter
	if errors.As(err, &h) {
		return h.Hint()
	}
	switch {
	case isAny(err, sqlite.ErrNoSpace, sqlite.ErrReadOnly): // say it themselves
		return ""
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return "Free some space there, or choose another folder."
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return "Choose a folder that you may write in, or change its permissions."
	}
	return ""
}

// plain words an error of the operating system without the name of the call
// and without the path, which where already says.
func plain(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) && err == error(p) {
		return system(p.Err)
	}
	return err.Error()
}

// system words the errors of the operating system that users meet.
func system(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file or folder"
	case errors.Is(err, fs.ErrPermission):
		return "permission denied"
	}
	return err.Error()
}
