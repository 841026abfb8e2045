package mesure_test

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// TestGuideNamesCommandsThatExist holds the commands of the README and the guide
// against the program: each command and each flag is one that its help lists.
func TestGuideNamesCommandsThatExist(t *testing.T) {
	program := t.TempDir() + "/mesure"
	if out, err := exec.Command("go", "build", "-o", program, "./cmd/mesure").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v: %s", err, out)
	}
	helps := map[string]string{}
	flag := regexp.MustCompile(`--[a-z-]+`)
	called := regexp.MustCompile(`(?m)^(?:bin/)?mesure ([a-z]+)(.*)$`)
	n := 0
	for _, page := range []string{"README.md", "doc/guide.md"} {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range called.FindAllStringSubmatch(string(text), -1) {
			n++
			command, rest := m[1], m[2]
			if _, ok := helps[command]; !ok {
				out, err := exec.Command(program, command, "--help").CombinedOutput()
				if err != nil {
					t.Errorf("%s: mesure %s: %s", page, command, out)
				}
				helps[command] = string(out)
			}
			for _, f := range flag.FindAllString(rest, -1) {
				if !strings.Contains(helps[command], f+" ") {
					t.Errorf("%s: mesure %s has no %s", page, command, f)
				}
			}
		}
	}
	if n < 10 {
		t.Errorf("only %d commands found: the reader is broken", n)
	}
}
