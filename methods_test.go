package mesure_test

import (
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// rooms whose exported numbers doc/methods.md states, each under its marker.
var rooms = []string{"sport/piste", "sport/bout", "measure/camera", "measure/motion", "timing", "study", "tactics/chain", "tactics/game", "tactics/habit", "tactics/payoff"}

var update = flag.Bool("update", false, "rewrite the tables of doc/methods.md")

// TestMethodsStateTheCodesNumbers holds the tables of doc/methods.md against the
// constants of the code: name, value, unit and the sentence that stands at the
// constant, with its source. Run with -update after a change and read the
// difference.
func TestMethodsStateTheCodesNumbers(t *testing.T) {
	const page = "doc/methods.md"
	have, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	want, ours := string(have), newHouse()
	for _, room := range rooms {
		table, rows, err := tableOf(ours, room)
		if err != nil {
			t.Fatal(err)
		}
		if rows == 0 {
			t.Fatalf("no constants found in %s: the reader is broken", room)
		}
		start, end := "<!-- numbers of "+room+" -->\n", "<!-- end of numbers -->"
		i := strings.Index(want, start)
		if i < 0 {
			t.Fatalf("%s has no marker for the numbers of %s", page, room)
		}
		i += len(start)
		j := strings.Index(want[i:], end)
		if j < 0 {
			t.Fatalf("%s: the table of %s has no end", page, room)
		}
		want = want[:i] + table + want[i+j:]
	}
	if want == string(have) {
		return
	}
	if *update {
		if err := os.WriteFile(page, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("%s does not state the numbers of the code: run go test . -run Methods -update and read the difference", page)
}

// units of the types that constants have.
var units = map[string]string{
	"Metres": "m", "Seconds": "s", "Pixels": "px", "Radians": "rad", "MetresPerSecond": "m/s", "Ratio": "", "Chance": "",
}

// tableOf writes the exported numbers of a package in the order of its files.
func tableOf(ours house, dir string) (string, int, error) {
	pkg, err := ours.load(dir)
	if err != nil {
		return "", 0, err
	}
	var b strings.Builder
	b.WriteString("| number | value | what it is, and its source |\n|---|---|---|\n")
	rows := 0
	files, err := parseDir(token.NewFileSet(), dir)
	if err != nil {
		return "", 0, err
	}
	for _, f := range files {
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			shared := g.Doc // a number without a sentence of its own shares the one before it
			for _, s := range g.Specs {
				spec := s.(*ast.ValueSpec)
				if spec.Doc != nil {
					shared = spec.Doc
				}
				for _, name := range spec.Names {
					c, ok := pkg.Scope().Lookup(name.Name).(*types.Const)
					if !ok || !c.Exported() {
						continue
					}
					basic, ok := c.Type().Underlying().(*types.Basic)
					if !ok || basic.Info()&types.IsNumeric == 0 || basic.Kind() == types.Uint8 {
						continue // a name, or a small enumeration
					}
					text := sentence(spec, shared)
					if text == "" {
						return "", 0, fmt.Errorf("%s.%s has no sentence", pkg.Name(), name.Name)
					}
					v, _ := constant.Float64Val(constant.ToFloat(c.Val()))
					unit := ""
					if n, ok := c.Type().(*types.Named); ok {
						unit = units[n.Obj().Name()]
					}
					fmt.Fprintf(&b, "| `%s.%s` | %s | %s |\n", pkg.Name(), name.Name, strings.TrimSpace(strconv.FormatFloat(v, 'g', 10, 64)+" "+unit), text)
					rows++
				}
			}
		}
	}
	return b.String(), rows, nil
}

// sentence is the comment of a constant on one line, without its name.
func sentence(spec *ast.ValueSpec, shared *ast.CommentGroup) string {
	doc := spec.Comment
	if doc == nil {
		doc = shared
	}
	if doc == nil {
		return ""
	}
	text := strings.Join(strings.Fields(doc.Text()), " ")
	for _, lead := range []string{" is ", " are ", ": "} {
		if rest, ok := strings.CutPrefix(text, spec.Names[0].Name+lead); ok {
			text = rest
		}
	}
	return strings.ReplaceAll(text, "|", "\\|")
}

// house imports our own packages from source and everything else as far as the
// standard library goes; what cannot be imported has no numbers for us.
//
// One house is asked for all rooms: the standard library is read from source, and
// reading it anew for every room took most of this test's time.
type house struct {
	fset   *token.FileSet
	loaded map[string]*types.Package
	std    types.Importer
}

func newHouse() house {
	fset := token.NewFileSet()
	return house{fset, map[string]*types.Package{}, importer.ForCompiler(fset, "source", nil)}
}

func (h house) Import(path string) (*types.Package, error) {
	if own, ok := strings.CutPrefix(path, module+"/"); ok {
		return h.load(own)
	}
	if strings.Contains(strings.Split(path, "/")[0], ".") {
		return nil, errors.New("not needed")
	}
	return h.std.Import(path)
}

func (h house) load(dir string) (*types.Package, error) {
	if p, ok := h.loaded[dir]; ok {
		return p, nil
	}
	files, err := parseDir(h.fset, dir)
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no source in %s", dir)
	}
	conf := types.Config{IgnoreFuncBodies: true, Importer: h, Error: func(error) {}}
	pkg, _ := conf.Check(module+"/"+dir, h.fset, files, nil) // errors concern other modules only
	h.loaded[dir] = pkg
	return pkg, nil
}

// parseDir reads the files of a package without its tests, in order of names.
func parseDir(fset *token.FileSet, dir string) ([]*ast.File, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	var files []*ast.File
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, p, nil, parser.ParseComments)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}
