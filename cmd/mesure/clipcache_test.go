package main

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"mesure/sport/mark"
)

func TestWhatIsKnownOfAVideoIsKept(t *testing.T) {
	c := clipCache{filepath.Join(t.TempDir(), "index")}
	sha := strings.Repeat("ab", 32)
	if _, ok := c.Clip(sha); ok {
		t.Fatal("an empty cache knows a video")
	}
	want := mark.Clip{Width: 1280, Height: 720, Times: []mark.FileTime{0, 0.04, 0.08}, Codec: "h264", Container: "mov", BitDepth: 8}
	c.Keep(sha, want)
	if got, ok := c.Clip(sha); !ok || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, ok)
	}
	if files, _ := os.ReadDir(c.dir); len(files) != 1 {
		t.Errorf("%d files are left", len(files))
	}
	for _, text := range []string{"", "{", `{"version":0,"clip":{"width":1,"height":1,"times":[0]}}`, `{"version":1,"clip":{"width":1,"height":1,"times":[]}}`, `{"version":1,"clip":{"width":1,"height":1,"times":[1,0]}}`} {
		if err := os.WriteFile(c.path(sha), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := c.Clip(sha); ok {
			t.Errorf("%q is believed", text)
		}
	}
}
