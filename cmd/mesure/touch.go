package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"mesure/bundle"
	"mesure/sport/mark"
	"mesure/study"
)

// source is a touch and the way to its videos.
type source struct {
	touch *study.Touch
	// path says where a video lies.
	path func(study.Video) (string, error)
	// bout asks what the bout makes of the touch; nil where its sheet is not known.
	bout *study.TacticsAsk
	// lib is the library that it is of; nil for a file.
	lib study.Library
	id  study.ID
	// close gives the library back; it may be called twice.
	close func()
}

// findTouch takes TOUCH|FILE: what names a file is a touch file, anything else
// a touch of the library.
func (b *bench) findTouch(ctx context.Context, name string) (source, error) {
	if looksLikeFile(name) {
		t, err := readTouchFile(name)
		if err != nil {
			return source{}, err
		}
		return source{touch: t, path: beside(name), bout: boutOf(t), close: func() {}}, nil
	}
	none := &fault{code: library, where: name, text: "there is no such file, and no such touch in the library",
		hint: `"mesure list" shows the touches of the library.`}
	lib, there, err := b.openOld(ctx)
	if err != nil {
		return source{}, err
	}
	if !there {
		return source{}, none
	}
	t, ask, err := unshelveAsked(ctx, lib, study.ID(name))
	if err != nil {
		lib.Close()
		if errors.Is(err, study.ErrNotFound) {
			return source{}, none
		}
		return source{}, err
	}
	path := func(v study.Video) (string, error) {
		if v.SHA256 != "" {
			if p, err := lib.MediaPath(ctx, v.SHA256); err == nil {
				return p, nil
			}
		}
		return "", fmt.Errorf("%w: video %q (%s) is not in the library", study.ErrNotFound, v.ID, v.File)
	}
	return source{touch: t, path: path, bout: ask, lib: lib, id: study.ID(name), close: func() { lib.Close() }}, nil
}

// boutOf asks of a touch of a file, of whose bout nothing is known but its sheet.
func boutOf(t *study.Touch) *study.TacticsAsk {
	if len(t.Bout.Sheet) == 0 || t.Number == 0 {
		return nil
	}
	return &study.TacticsAsk{Bout: t.Bout, Words: t.Words, At: t.Number, For: mark.Left,
		Seen: []study.SeenTouch{{Line: t.Line, Title: t.Title, Phrase: t.Written()}}}
}

// looksLikeFile tells a path from the name of a touch.
func looksLikeFile(name string) bool {
	if strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".json") {
		return true
	}
	_, err := os.Stat(name)
	return err == nil
}

// readTouchFile reads and checks a touch file.
func readTouchFile(name string) (*study.Touch, error) {
	f, err := openInput(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return bundle.ReadTouch(f, name)
}

// openInput opens a file to be read; a folder is refused here, with a word that
// says so.
func openInput(name string) (*os.File, error) {
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &fault{code: badFile, where: name, text: "there is no such file", err: nil}
	}
	if err != nil {
		return nil, at(name, err)
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, &fault{code: badFile, where: name, text: "is a folder, not a file"}
	}
	return f, nil
}

// beside resolves the videos of a touch file: relative paths start at its
// folder. A file that is not the one that was marked is refused.
func beside(touchFile string) func(study.Video) (string, error) {
	return func(v study.Video) (string, error) {
		path := v.File
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(touchFile), path)
		}
		if v.SHA256 == "" {
			return path, nil
		}
		sum, err := hashFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			return "", &fault{code: badVideo, where: path, text: "there is no such file",
				hint: "Put the video there, or write its path into the touch file."}
		}
		if err != nil {
			return "", at(path, err)
		}
		if !strings.EqualFold(sum, v.SHA256) {
			return "", &fault{code: badVideo, where: path, text: "is not the file that was marked: its SHA-256 differs",
				hint: "Name the file that was marked. If the marks were made on this one, leave sha256 out."}
		}
		return path, nil
	}
}

func hashFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
