package mesure_test

import (
	"errors"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// rooms whose exported numbers doc/methods.md must state.
var rooms = []string{"sport/piste", "measure/camera", "timing", "study"}

// stated matches a default in doc/methods.md: `camera.PriorRoll` = 3.
var stated = regexp.MustCompile("`([a-z]+\\.[A-Za-z0-9]+)` = (-?[0-9][0-9.e+\\-_]*)")

// TestMethodsStateTheCodesNumbers holds doc/methods.md against the constants of
// the code: every exported number of the rooms above is stated there, with the
// value it has, and nothing else is.
func TestMethodsStateTheCodesNumbers(t *testing.T) {
	have := map[string]float64{}
	for _, room := range rooms {
		if err := constantsOf(room, have); err != nil {
			t.Fatal(err)
		}
	}
	if len(have) < 20 {
		t.Fatalf("only %d constants found: the reader is broken", len(have))
	}
	page, err := os.ReadFile("doc/methods.md")
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]bool{}
	for _, m := range stated.FindAllStringSubmatch(string(page), -1) {
		want, ok := have[m[1]]
		if !ok {
			t.Errorf("doc/methods.md states %s, which is no exported number of the code", m[1])
			continue
		}
		got, err := strconv.ParseFloat(strings.ReplaceAll(m[2], "_", ""), 64)
		if err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("doc/methods.md states `%s` = %s, the code has %v", m[1], m[2], want)
		}
		said[m[1]] = true
	}
	var missing []string
	for name, v := range have {
		if !said[name] {
			missing = append(missing, fmt.Sprintf("`%s` = %v", name, v))
		}
	}
	sort.Strings(missing)
	if len(missing) > 0 {
		t.Errorf("doc/methods.md does not state:\n%s", strings.Join(missing, "\n"))
	}
}

// constantsOf type-checks the declarations of one package and adds its exported
// numeric constants.
func constantsOf(dir string, have map[string]float64) error {
	pkg, err := load(dir, map[string]*types.Package{})
	if err != nil {
		return err
	}
	scope := pkg.Scope()
	for _, name := range scope.Names() {
		c, ok := scope.Lookup(name).(*types.Const)
		if !ok || !c.Exported() {
			continue
		}
		b, ok := c.Type().Underlying().(*types.Basic)
		if !ok || b.Info()&types.IsNumeric == 0 || b.Kind() == types.Uint8 {
			continue // a name, or a small enumeration
		}
		v, _ := constant.Float64Val(constant.ToFloat(c.Val()))
		have[pkg.Name()+"."+name] = v
	}
	return nil
}

// house imports our own packages from source and everything else as far as the
// standard library goes; what cannot be imported has no numbers for us.
type house struct {
	loaded map[string]*types.Package
	std    types.Importer
}

func (h house) Import(path string) (*types.Package, error) {
	if own, ok := strings.CutPrefix(path, module+"/"); ok {
		return load(own, h.loaded)
	}
	if strings.Contains(strings.Split(path, "/")[0], ".") {
		return nil, errors.New("not needed")
	}
	return h.std.Import(path)
}

func load(dir string, loaded map[string]*types.Package) (*types.Package, error) {
	if p, ok := loaded[dir]; ok {
		return p, nil
	}
	fset := token.NewFileSet()
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	var files []*ast.File
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, p, nil, 0)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no source in %s", dir)
	}
	conf := types.Config{IgnoreFuncBodies: true, Importer: house{loaded, importer.ForCompiler(fset, "source", nil)}, Error: func(error) {}}
	pkg, _ := conf.Check(module+"/"+dir, fset, files, nil) // errors concern other modules only
	loaded[dir] = pkg
	return pkg, nil
}
