// The law of the house: which room may import which. It stands in doc/architecture.md
// in words; here it is a test. It reads the imports with go/parser inside the
// test, because a test that asks another process is answered from the cache
// when a file has changed.
package mesure_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "mesure"

// A room is a top-level folder, or a folder with a law of its own inside one.
// The longest matching name rules a file.
type line struct {
	room string
	may  []string
}

// law has one line a room. "all" stands for every room; nobody may import cmd
// or web, whatever the line says.
var law = []line{
	{"quantity", nil},
	{"strict", nil},
	{"sport/piste", nil},
	{"sport/mark", []string{"sport/piste"}},
	{"sport/bout", []string{"sport/piste", "sport/mark"}},
	{"measure", []string{"quantity", "sport/piste", "sport/mark", "measure"}},
	{"timing", []string{"quantity", "timing"}},
	{"tactics", []string{"quantity", "sport/bout", "tactics/game", "tactics/chain", "tactics/habit", "tactics/payoff"}},
	{"study", []string{"quantity", "sport", "measure", "timing", "tactics", "study"}},
	{"show", []string{"quantity", "strict", "sport", "timing", "tactics", "study", "show"}},
	{"show/draw", nil},
	{"store", []string{"quantity", "sport", "study", "store"}},
	{"bundle", []string{"quantity", "strict", "sport", "study"}},
	{"video", []string{"sport/mark", "measure/track", "study", "show", "video"}},
	{"demo", []string{"quantity", "sport", "measure/camera", "show/draw", "video", "timing", "study", "demo"}},
	{"web", []string{"quantity", "sport", "study", "show", "web"}},
	{"cmd", []string{"all"}},
}

// barred may be imported by nobody outside themselves.
var barred = []string{"cmd", "web"}

// depth is how many folder levels a room may have.
const depth = 2

type file struct {
	path    string // slash-separated, from the root of the module
	imports []string
}

// breaches returns every breach of the law in these files, in order.
func breaches(law []line, files []file) []string {
	var bad []string
	used := map[string]bool{}
	for _, f := range files {
		dir := filepath.ToSlash(filepath.Dir(f.path))
		if dir == "." {
			continue // this test
		}
		room, ok := roomOf(law, dir)
		if !ok {
			bad = append(bad, fmt.Sprintf("%s: the folder %s belongs to no room: add a law line or move the file", f.path, dir))
			continue
		}
		used[room.room] = true
		if strings.Count(dir, "/")+1 > depth && !strings.Contains(dir, "/testdata") {
			bad = append(bad, fmt.Sprintf("%s: deeper than %d levels", f.path, depth))
		}
		for _, imp := range f.imports {
			own, isOwn := strings.CutPrefix(imp, module+"/")
			if !isOwn || own == dir {
				continue
			}
			if !allowed(room, own) {
				bad = append(bad, fmt.Sprintf("%s: %s may not import %s", f.path, room.room, own))
			}
		}
	}
	for _, l := range law {
		if !used[l.room] {
			bad = append(bad, fmt.Sprintf("law: the line for %q rules no file: the room is gone", l.room))
		}
	}
	return bad
}

func allowed(room line, own string) bool {
	if slices.ContainsFunc(barred, func(b string) bool { return under(own, b) && !under(room.room, b) }) &&
		!(room.room == "cmd" && under(own, "web")) {
		return false
	}
	return slices.ContainsFunc(room.may, func(m string) bool { return m == "all" || under(own, m) })
}

func under(dir, room string) bool { return dir == room || strings.HasPrefix(dir, room+"/") }

func roomOf(law []line, dir string) (line, bool) {
	best, found := line{}, false
	for _, l := range law {
		if under(dir, l.room) && len(l.room) >= len(best.room) {
			best, found = l, true
		}
	}
	return best, found
}

func sources(t *testing.T) []file {
	t.Helper()
	var files []file
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); path != "." && (strings.HasPrefix(n, ".") || n == "node_modules" || n == "dist" || n == "testdata" || n == "out" || n == "bin") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		tree, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		f := file{path: filepath.ToSlash(path)}
		for _, i := range tree.Imports {
			p, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			f.imports = append(f.imports, p)
		}
		files = append(files, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("only %d source files found: the walk is broken", len(files))
	}
	return files
}

func TestTheLawHolds(t *testing.T) {
	for _, b := range breaches(law, sources(t)) {
		t.Error(b)
	}
}

// TestTheLawCanBeBroken plants each kind of breach and expects it to be named.
func TestTheLawCanBeBroken(t *testing.T) {
	sound := []line{{"quantity", nil}, {"timing", []string{"quantity"}}, {"cmd", []string{"all"}}, {"web", []string{"quantity"}}}
	files := []file{
		{"quantity/of.go", []string{"math"}},
		{"timing/race.go", []string{module + "/quantity"}},
		{"cmd/mesure/main.go", []string{module + "/web", module + "/timing"}},
		{"web/serve.go", []string{module + "/quantity"}},
	}
	if got := breaches(sound, files); len(got) != 0 {
		t.Fatalf("a lawful house is accused: %v", got)
	}
	cases := []struct {
		name  string
		law   []line
		files []file
		want  string
	}{
		{"violation", sound, append(slices.Clone(files), file{"quantity/bad.go", []string{module + "/timing"}}), "quantity may not import timing"},
		{"unknown folder", sound, append(slices.Clone(files), file{"helpers/x.go", nil}), "belongs to no room"},
		{"stale line", append(slices.Clone(sound), line{"lessons", nil}), files, "the room is gone"},
		{"barred room", sound, append(slices.Clone(files), file{"timing/bad.go", []string{module + "/web"}}), "timing may not import web"},
		{"too deep", sound, append(slices.Clone(files), file{"quantity/a/b/x.go", nil}), "deeper than"},
	}
	for _, c := range cases {
		got := breaches(c.law, c.files)
		if len(got) != 1 || !strings.Contains(got[0], c.want) {
			t.Errorf("%s: want one breach with %q, got %v", c.name, c.want, got)
		}
	}
}

// TestEveryPackageSaysWhatItIs holds the sign on the door: each package has a
// package comment.
func TestEveryPackageSaysWhatItIs(t *testing.T) {
	signed, seen := map[string]bool{}, map[string]bool{}
	for _, f := range sources(t) {
		if strings.HasSuffix(f.path, "_test.go") {
			continue
		}
		dir := filepath.Dir(f.path)
		seen[dir] = true
		src, err := os.ReadFile(f.path)
		if err != nil {
			t.Fatal(err)
		}
		tree, err := parser.ParseFile(token.NewFileSet(), f.path, src, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		if tree.Doc != nil && len(tree.Doc.Text()) > 40 {
			signed[dir] = true
		}
	}
	for dir := range seen {
		if !signed[dir] {
			t.Errorf("package %s has no package comment", dir)
		}
	}
}

// longest is how many lines a source file may have: what can be read in one
// sitting.
const longest = 500

func TestFilesCanBeReadInOneSitting(t *testing.T) {
	for _, f := range sources(t) {
		src, err := os.ReadFile(f.path)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(src), "\n"); n > longest {
			t.Errorf("%s has %d lines, more than %d: split it by idea", f.path, n, longest)
		}
	}
}
