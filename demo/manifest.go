package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"mesure/study"
)

// ManifestFile is the name of the manifest in the folder of the demo.
const ManifestFile = "manifest.json"

// Manifest lists what Render has written.
type Manifest struct {
	// Version follows from everything that the files depend on.
	Version string `json:"version"`
	Files   []File `json:"files"`
}

// File is one file of the demo.
type File struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Videos returns the names of the videos.
func (m Manifest) Videos() []string {
	var names []string
	for _, f := range m.Files {
		if strings.HasSuffix(f.Name, ".mp4") {
			names = append(names, f.Name)
		}
	}
	return names
}

// Sign enters the hashes of the videos into a touch of the demo. It changes the
// touch and nothing else.
func (m Manifest) Sign(t *study.Touch) {
	for i := range t.Videos {
		for _, f := range m.Files {
			if f.Name == filepath.Base(t.Videos[i].File) {
				t.Videos[i].SHA256 = f.SHA256
			}
		}
	}
}

// found returns the manifest of a folder if it is of this version and every file
// is there as it was written.
func found(dir, version string) (Manifest, bool) {
	b, err := os.ReadFile(filepath.Join(dir, ManifestFile))
	if err != nil {
		return Manifest{}, false
	}
	var m Manifest
	if json.Unmarshal(b, &m) != nil || m.Version != version || len(m.Files) == 0 {
		return Manifest{}, false
	}
	for _, f := range m.Files {
		if filepath.Base(f.Name) != f.Name {
			return Manifest{}, false
		}
		if now, err := described(dir, f.Name); err != nil || now != f {
			return Manifest{}, false
		}
	}
	return m, true
}

// sealed describes the files and writes the manifest, last of all.
func sealed(dir, version string, names []string) (Manifest, error) {
	m := Manifest{Version: version}
	slices.Sort(names)
	for _, n := range names {
		f, err := described(dir, n)
		if err != nil {
			return Manifest{}, fmt.Errorf("the demo was written but cannot be read back: %w", err)
		}
		m.Files = append(m.Files, f)
	}
	b, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return Manifest{}, fmt.Errorf("demo: the manifest cannot be written: %w", err)
	}
	return m, write(filepath.Join(dir, ManifestFile), append(b, '\n'))
}

func described(dir, name string) (File, error) {
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		return File{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	if err != nil {
		return File{}, err
	}
	return File{Name: name, Bytes: n, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}

// write puts a file in place in one step: all of it or nothing.
func write(path string, b []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(b)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
