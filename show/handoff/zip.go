package handoff

import (
	"archive/zip"
	"fmt"
	"io"
	"path"
	"strings"
	"time"
)

// File is one file of a hand-off.
type File struct {
	// Name has slashes where it lies in a folder: "frames/000012.png".
	Name string
	// About says what it is, in a few words; a file that has none is not told by itself.
	About string
	// Write writes it.
	Write func(w io.Writer) error
}

// zipTime stands for the day of every file in a zip: the first that the format knows, so
// that equal files give equal bytes on every day.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// packed are the endings of files that are small already: they are stored as they are.
var packed = map[string]bool{".png": true, ".jpg": true, ".mov": true, ".mp4": true, ".webm": true, ".zip": true}

// WriteZip writes files in their order as one zip file (PKWARE APPNOTE 6.3), all in a
// folder of this name, or in none where it is empty. Names are UTF-8; times are those of
// no day. The same files give the same bytes. A name that leads out of the folder or
// stands twice is refused with an *Error; an error of a file says which.
func WriteZip(w io.Writer, folder string, files []File) error {
	seen := map[string]bool{}
	for i, f := range files {
		why := ""
		switch {
		case f.Name == "" || path.IsAbs(f.Name) || path.Clean(f.Name) != f.Name || f.Name == ".." || strings.HasPrefix(f.Name, "../") || strings.ContainsAny(f.Name, "\\\x00"):
			why = "its name leads out of the folder: give a plain name"
		case seen[f.Name]:
			why = "another file has its name: give one of the two another"
		}
		if why != "" {
			return &Error{Kind: "file", Index: i, Name: f.Name, Why: why}
		}
		seen[f.Name] = true
	}
	z := zip.NewWriter(w)
	for _, f := range files {
		h := &zip.FileHeader{Name: path.Join(folder, f.Name), Method: zip.Deflate, Modified: zipTime}
		if packed[path.Ext(f.Name)] {
			h.Method = zip.Store
		}
		to, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if err := f.Write(to); err != nil {
			return fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	return z.Close()
}
