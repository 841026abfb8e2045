package web

import (
	"encoding/json"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// Files of a breakdown that this room looks for.
const (
	reportFile  = "report.html"
	readingFile = "reading.json"
)

// breakdown is one folder that holds a report.
type breakdown struct {
	// Name stands in the address.
	Name  string
	Title string
	dir   string
}

// findBreakdowns looks at each folder and the folders inside it. A folder that
// is gone or cannot be read has none: it may be made while the server runs.
func findBreakdowns(folders []string) []breakdown {
	var all []breakdown
	taken := map[string]bool{}
	add := func(dir string) {
		if info, err := os.Stat(filepath.Join(dir, reportFile)); err != nil || !info.Mode().IsRegular() {
			return
		}
		name := filepath.Base(dir)
		for taken[name] {
			name += "_"
		}
		taken[name] = true
		all = append(all, breakdown{Name: name, Title: titleOf(dir), dir: dir})
	}
	for _, f := range folders {
		add(f)
		entries, err := os.ReadDir(f)
		if err != nil {
			continue
		}
		for _, e := range entries {
			if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
				add(filepath.Join(f, e.Name()))
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	return all
}

// titleOf is the title of the touch that was read, or the name of the folder.
func titleOf(dir string) string {
	var reading struct {
		Title string `json:"title"`
	}
	body, err := os.ReadFile(filepath.Join(dir, readingFile))
	if err == nil && json.Unmarshal(body, &reading) == nil && reading.Title != "" {
		return reading.Title
	}
	return filepath.Base(dir)
}

// breakdownFiles serves the files of a breakdown. A link that leads out of its
// folder is not followed.
func breakdownFiles(folders []string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		for _, b := range findBreakdowns(folders) {
			if b.Name != r.PathValue("name") {
				continue
			}
			root, err := os.OpenRoot(b.dir)
			if err != nil {
				break
			}
			defer root.Close()
			file := r.PathValue("file")
			if file == "" {
				file = reportFile
			}
			if info, err := fs.Stat(root.FS(), file); err != nil || !info.Mode().IsRegular() {
				break
			}
			http.ServeFileFS(w, r, root.FS(), file)
			return
		}
		http.NotFound(w, r)
	}
}
