// Package ui holds the desk as it was built for the browser: the source is in
// src, "npm run build" writes dist, and dist goes into the program. Most callers
// need one call: Files.
//
// A program that was built without Node has no desk: Files then says so.
package ui

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Files returns the built desk, with index.html at its root; the second result is
// false where the program was built without it.
func Files() (fs.FS, bool) {
	files, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, false
	}
	_, err = fs.Stat(files, "index.html")
	return files, err == nil
}
