package mesure_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/licensecheck"
)

// compatible lists the licences (SPDX) that a program under GPL-3.0-or-later may
// contain, as the Free Software Foundation's list of licences says.
var compatible = []string{
	"MIT", "MIT-0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Apache-2.0", "MPL-2.0",
	"GPL-3.0", "GPL-3.0-or-later", "GPL-3.0-only", "LGPL-3.0", "Unlicense", "CC0-1.0", "Zlib", "OFL-1.1", "FTL", "0BSD",
}

// TestLicencesOfDependencies reads the licence of every module that the program
// is built from.
func TestLicencesOfDependencies(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}", "./cmd/mesure").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	lines := strings.Fields(strings.ReplaceAll(strings.TrimSpace(string(out)), "\n", " "))
	seen := map[string]string{}
	for i := 0; i+1 < len(lines); i += 2 {
		seen[lines[i]] = lines[i+1]
	}
	if len(seen) < 5 {
		t.Fatalf("only %d modules found: the list is broken", len(seen))
	}
	for module, dir := range seen {
		var found []string
		for _, pattern := range []string{"LICEN[CS]E*", "COPYING*", "UNLICENSE*", "licen[cs]e*"} {
			files, _ := filepath.Glob(filepath.Join(dir, pattern))
			for _, f := range files {
				text, err := os.ReadFile(f)
				if err != nil {
					continue
				}
				for _, m := range licensecheck.Scan(text).Match {
					found = append(found, m.ID)
				}
			}
		}
		if !slices.ContainsFunc(found, func(id string) bool { return slices.Contains(compatible, id) }) {
			t.Errorf("module %s: no licence that GPL-3.0-or-later can contain: found %v", module, found)
		}
	}
}

// TestLicencesOfTheDesk reads the licence of every package that the desk in the
// browser is built from or tested with, as package-lock.json states it.
func TestLicencesOfTheDesk(t *testing.T) {
	raw, err := os.ReadFile("web/ui/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	var lock struct {
		Packages map[string]struct {
			Licence  string `json:"license"`
			Resolved string `json:"resolved"`
			Dev      bool   `json:"dev"`
		} `json:"packages"`
	}
	if err := json.Unmarshal(raw, &lock); err != nil {
		t.Fatal(err)
	}
	if len(lock.Packages) < 20 {
		t.Fatalf("only %d packages found: the list is broken", len(lock.Packages))
	}
	for name, p := range lock.Packages {
		if p.Resolved != "" {
			t.Errorf("%s: package-lock.json names the host it was fetched from; npm install with web/ui/.npmrc leaves it out", name)
		}
		// "(MIT OR CC0-1.0)" leaves the choice to us. A tool that is not shipped may
		// have a licence beyond the list.
		ok := slices.ContainsFunc(strings.Split(strings.Trim(p.Licence, "()"), " OR "), func(id string) bool { return slices.Contains(compatible, id) })
		if !ok && !(p.Dev && p.Licence == "Python-2.0") {
			t.Errorf("%s: licence %q is not one that GPL-3.0-or-later can contain", name, p.Licence)
		}
	}
}
