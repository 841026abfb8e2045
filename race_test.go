package mesure_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestRaceTierHasWhatRunsSideBySide holds RACY and COUNTING of the Makefile, the rooms that
// run under the race detector, the second with their tests named SideBySide alone: every package that starts a goroutine or holds a lock is there,
// and no other is, for the detector makes numerics several times slower and can find
// nothing where one thing is done after the other. A value that is made once
// (sync.Once and its like) needs none: the library sees to it.
func TestRaceTierHasWhatRunsSideBySide(t *testing.T) {
	text, err := os.ReadFile("Makefile")
	if err != nil {
		t.Fatal(err)
	}
	listed := func(name string) []string {
		found := regexp.MustCompile(`(?m)^` + name + ` +:= (.*)$`).FindSubmatch(text)
		if found == nil {
			t.Fatalf("the Makefile does not say %s", name)
		}
		return strings.Fields(strings.ReplaceAll(string(found[1]), "./", ""))
	}
	counting := listed("COUNTING")
	racy := append(listed("RACY"), counting...)
	for _, dir := range counting {
		if !hasSideBySide(t, dir) {
			t.Errorf("%s has no test named SideBySide, so the race detector sees nothing of it", dir)
		}
	}
	need := map[string][]string{}
	for _, f := range sources(t) {
		if strings.HasSuffix(f.path, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f.path)
		if err != nil {
			t.Fatal(err)
		}
		why, err := sideBySide(src)
		if err != nil {
			t.Fatal(err)
		}
		// cmd/bench has no tests, so the detector would have nothing to run.
		if dir := path.Dir(f.path); len(why) > 0 && dir != "cmd/bench" {
			need[dir] = append(need[dir], f.path+": "+strings.Join(why, ", "))
		}
	}
	if len(need) < 5 {
		t.Fatalf("only %d packages do things side by side: the reader is broken", len(need))
	}
	for dir, why := range need {
		if !slices.Contains(racy, dir) {
			t.Errorf("%s is to be run under the race detector (RACY or COUNTING in the Makefile): %s", dir, strings.Join(why, "; "))
		}
	}
	for _, dir := range racy {
		if need[dir] == nil {
			t.Errorf("%s starts no goroutine and holds no lock: take it out of the Makefile's lists", dir)
		}
	}
}

// hasSideBySide says that a package has a test of what it does at the same time.
func hasSideBySide(t *testing.T, dir string) bool {
	files, err := filepath.Glob(filepath.Join(dir, "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	return slices.ContainsFunc(files, func(name string) bool {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return regexp.MustCompile(`(?m)^func Test\w*SideBySide`).Match(src)
	})
}

// sideBySide names what a file uses to do things side by side.
func sideBySide(src []byte) ([]string, error) {
	tree, err := parser.ParseFile(token.NewFileSet(), "", src, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var why []string
	ast.Inspect(tree, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			why = append(why, "go")
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && (x.Name == "atomic" || x.Name == "sync" && !strings.HasPrefix(n.Sel.Name, "Once")) {
				why = append(why, x.Name+"."+n.Sel.Name)
			}
		}
		return true
	})
	slices.Sort(why)
	return slices.Compact(why), nil
}

func TestWhatRunsSideBySideIsSeen(t *testing.T) {
	for src, want := range map[string]string{
		"func f() { go g() }":                             "go",
		"var mu sync.Mutex":                               "sync.Mutex",
		"func f() { var wg sync.WaitGroup; wg.Go(g) }":    "sync.WaitGroup",
		"var n atomic.Int64":                              "atomic.Int64",
		"var once sync.Once; var f = sync.OnceValue(g)":   "",
		"func f() { defer g() } // go g() and sync.Mutex": "",
	} {
		got, err := sideBySide([]byte("package p\n" + src))
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%s: %q %v, want %q", src, got, err, want)
		}
	}
}
