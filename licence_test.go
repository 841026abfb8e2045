package mesure_test

import (
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
