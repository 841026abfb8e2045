package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"syscall"

	"mesure/bundle"
	"mesure/show/tell"
	"mesure/store/sqlite"
	"mesure/study"
	"mesure/video"
)

// code is the exit code of the program.
type code int

// The exit codes. Their meanings stand in exits and in the help.
const (
	ok          code = 0
	internal    code = 1
	wrongUse    code = 2
	badFile     code = 3
	refused     code = 4
	badVideo    code = 5
	library     code = 6
	disk        code = 7
	interrupted code = 130
)

// exit is one line of the table of exit codes.
type exit struct {
	code    code
	meaning string
	// is reports whether an error belongs here; nil where none does by itself.
	is func(error) bool
}

// exits is the one table from errors to exit codes. An error that says its own
// code (fault) is taken at its word; any other belongs to the first line that
// knows it, from the top, and to "internal" where none does.
func exits() []exit {
	return []exit{
		{ok, "done", nil},
		{internal, "a fault of mesure itself", nil},
		{interrupted, "interrupted; nothing half-written is left", isInterrupted},
		{wrongUse, "wrong use: an unknown command, flag or value", nil},
		{disk, "the disk is full, read-only or not permitted", isDisk},
		{library, "the library is locked, in conflict or damaged, or lacks what was named", isLibrary},
		{badVideo, "a video cannot be read", isVideo},
		{refused, "cannot be measured; the line says what would mend it", isRefusal},
		{badFile, "an input file is wrong or missing", isBadFile},
	}
}

// codeOf returns the exit code of an error.
func codeOf(err error) code {
	if err == nil {
		return ok
	}
	if c := said(err); c != ok && !isInterrupted(err) {
		return c
	}
	for _, e := range exits() {
		if e.is != nil && e.is(err) {
			return e.code
		}
	}
	return internal
}

// said returns the code that a fault in the chain of an error says, or ok.
func said(err error) code {
	var f *fault
	for errors.As(err, &f) {
		if f.code != ok {
			return f.code
		}
		err = f.err
	}
	return ok
}

// exitHelp is the part of a help text that lists these exit codes, with those
// that every command has.
func exitHelp(some ...code) string {
	wanted := map[code]bool{ok: true, internal: true, wrongUse: true, interrupted: true}
	for _, c := range some {
		wanted[c] = true
	}
	var b strings.Builder
	b.WriteString("Exit codes:\n")
	for c := ok; c <= interrupted; c++ {
		for _, e := range exits() {
			if e.code == c && wanted[c] {
				fmt.Fprintf(&b, "  %3d  %s\n", e.code, e.meaning)
			}
		}
	}
	return b.String()
}

func isInterrupted(err error) bool { return errors.Is(err, context.Canceled) }

func isDisk(err error) bool {
	return isAny(err, syscall.ENOSPC, syscall.EROFS, syscall.EDQUOT, syscall.EIO, video.ErrDiskFull, video.ErrReadOnly,
		sqlite.ErrNoSpace, sqlite.ErrReadOnly) ||
		errors.Is(err, fs.ErrPermission) && !isVideo(err)
}

func isLibrary(err error) bool {
	return isAny(err, study.ErrLocked, study.ErrConflict, study.ErrExists, study.ErrNotFound, study.ErrNoStep,
		sqlite.ErrDamaged, sqlite.ErrNewer, sqlite.ErrNotLibrary)
}

func isVideo(err error) bool {
	var v *video.Error
	return errors.As(err, &v)
}

// isRefusal: study refuses because a room below it has no answer.
func isRefusal(err error) bool {
	var r *study.Refusal
	return errors.As(err, &r) && r.Because != nil
}

// isBadFile: a file does not hold together by itself.
func isBadFile(err error) bool {
	var r *study.Refusal
	var b *bundle.Error
	var t *tell.Error
	return errors.As(err, &b) || errors.As(err, &t) || errors.As(err, &r) || errors.Is(err, fs.ErrNotExist)
}

func isAny(err error, some ...error) bool {
	return slices.ContainsFunc(some, func(e error) bool { return errors.Is(err, e) })
}
