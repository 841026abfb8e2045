package script

import (
	"os"
	"path/filepath"
	"testing"
)

// TestTheGoldenScripts: each level, and one without names. They were read by eye.
func TestTheGoldenScripts(t *testing.T) {
	want := map[string]Options{
		"beginner.md": {Level: Beginner}, "club.md": {}, "competitor.md": {Level: Competitor}, "anonymous.md": {Level: Competitor, Names: Anonymous}, "initials.md": {Level: Beginner, Names: Initials},
	}
	for name, o := range want {
		got := markdown(t, drafted(t, told(t), o), nil)
		if again := markdown(t, drafted(t, told(t), o), nil); got != again {
			t.Errorf("%s: two runs differ", name)
		}
		file := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if b, err := os.ReadFile(file); err != nil || string(b) != got {
			t.Errorf("%s differs from what is written (%v); it is now:\n%s", name, err, got)
		}
	}
	there, err := filepath.Glob("testdata/*.md")
	if err != nil || len(there) != len(want) {
		t.Errorf("%d golden scripts for %d cases: %v", len(there), len(want), err)
	}
}
