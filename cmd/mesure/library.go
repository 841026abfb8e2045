package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"mesure/bundle"
	"mesure/store/sqlite"
	"mesure/study"
)

// libraryVariable is the environment variable that names the library folder.
const libraryVariable = "MESURE_LIBRARY"

// libraryFolder decides where the library is: the flag, else the environment,
// else "mesure" in the user's data folder (XDG Base Directory Specification,
// version 0.8: $XDG_DATA_HOME, by default ~/.local/share).
func libraryFolder(flag string) (string, error) {
	if flag != "" {
		return filepath.Abs(flag)
	}
	if dir := os.Getenv(libraryVariable); dir != "" {
		return filepath.Abs(dir)
	}
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "mesure"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", &fault{code: library, err: errors.New("there is no home folder to keep the library in"),
			hint: "Say where it is with --library DIR or " + libraryVariable + "."}
	}
	return filepath.Join(home, ".local", "share", "mesure"), nil
}

// libraryOptions say what a library of this program needs to know of its documents.
func libraryOptions() sqlite.Options {
	return sqlite.Options{Acts: study.IndexerOf(bundle.Papers{})}
}

// openLibrary opens the library and holds its lock until it is closed. A folder
// that does not exist becomes a new library.
func (b *bench) openLibrary(ctx context.Context) (study.Library, error) {
	dir, err := libraryFolder(b.library)
	if err != nil {
		return nil, err
	}
	lib, err := sqlite.Open(ctx, dir, libraryOptions())
	if errors.Is(err, study.ErrLocked) {
		return nil, &fault{where: dir, err: err, hint: "Close the other mesure, or name another library with --library DIR."}
	}
	return lib, at(dir, err)
}

// openOld opens the library where there is one: looking makes no new one. The
// second result is false where there is none.
func (b *bench) openOld(ctx context.Context) (study.Library, bool, error) {
	dir, err := libraryFolder(b.library)
	if err != nil {
		return nil, false, err
	}
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return nil, false, nil
	}
	lib, err := b.openLibrary(ctx)
	return lib, err == nil, err
}
