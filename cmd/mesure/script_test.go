package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"mesure/study"
	"mesure/video"
)

func TestMain(m *testing.M) {
	video.RunChild()
	testscript.Main(m, map[string]func(){"mesure": main})
}

// TestScripts runs every script of testdata/script. Each starts in a folder of
// its own with the files of testdata/files and clip.mp4, and says in its first
// lines what it guards. Beside the usual commands there are
//
//	jsonset FILE POINTER VALUE   change one place of a JSON file ("-" removes it)
//	jsonis FILE POINTER REGEXP   the value there, as JSON, matches ("stdout" is a file too)
//	jsonnear FILE POINTER VALUE TOLERANCE
//	jsonkeys FILE POINTER KEY...  exactly these keys
//	jsonsame FILE FILE POINTER    the same value in both
//	exits CODE COMMAND...        the exit code is exactly this
//	empty DIR                    the folder holds nothing, hidden files included
//	cut FILE BYTES               keeps the first bytes; a negative number cuts off the last
//	hold LIBRARY                 keeps a library open in another process, until release
//	foreign FILE                 copies in the sample clip of the decoder's module
//	small-disk DIR SIZE          mounts a disk of this size; read-only DIR locks it
//	numbered FILE                writes a clip with numbered frames and a tone
//	burnt FILE NUMBER...         the frames of a clip show these numbers (N*K: K times N)
//	appears PATTERN              waits until there is such a file
//	count PATTERN NUMBER         there are so many such files
//	age PATTERN                  makes files older; aged: none of them was written anew
func TestScripts(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the scripts start processes, which are run in the full tests")
	}
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, s := range scripts {
		body, err := os.ReadFile(s)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(body, []byte("# Guards: ")) {
			t.Errorf("%s does not start with what it guards", s)
		}
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	clip := sync.OnceValues(makeClip(t.TempDir()))
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			files, err := filepath.Glob("testdata/files/*")
			if err != nil {
				return err
			}
			for _, f := range files {
				if err := copyFile(f, filepath.Join(e.WorkDir, filepath.Base(f))); err != nil {
					return err
				}
			}
			made, err := clip()
			if err != nil {
				return err
			}
			// The compiled decoder is shared: every script would spend seconds on it.
			e.Setenv(video.CacheEnv, filepath.Join(cache, "mesure"))
			e.Setenv("HOME", filepath.Join(e.WorkDir, "home"))
			e.Setenv(libraryVariable, "")
			e.Values[held{}] = new([]study.Library)
			return copyFile(made, filepath.Join(e.WorkDir, "clip.mp4"))
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"jsonset": jsonSet, "jsonis": jsonIs, "jsonnear": jsonNear, "jsonkeys": jsonKeys, "jsonsame": jsonSame,
			"exits": exitsWith, "empty": emptyFolder, "cut": cut,
			"foreign": foreign, "hold": hold, "release": release,
			"small-disk": smallDisk, "read-only": readOnly,
			"numbered": numberedClip, "burnt": burnt, "appears": appears, "count": countFiles, "age": age, "aged": aged,
		},
	})
}

// The clip that scripts read: as large as its marks need, as short as the frames
// need.
const (
	clipWidth, clipHeight = 1280, 720
	clipFrames            = 12
	clipRate              = 50
)

// makeClip returns what writes the clip once for all scripts.
func makeClip(dir string) func() (string, error) {
	return func() (string, error) {
		e, err := video.Choose(video.Auto)
		if err != nil {
			return "", err
		}
		path := filepath.Join(dir, "clip.mp4")
		w, err := e.Create(context.Background(), path, video.Spec{Width: clipWidth, Height: clipHeight, Rate: clipRate})
		if err != nil {
			return "", err
		}
		for i := range clipFrames {
			picture := image.NewRGBA(image.Rect(0, 0, clipWidth, clipHeight))
			for p := range picture.Pix {
				picture.Pix[p] = uint8(60 + 8*i)
			}
			picture.Set(i, 0, color.White)
			if err := w.RGBA(picture); err != nil {
				return "", err
			}
		}
		return path, w.Close()
	}
}

func copyFile(from, to string) error {
	body, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	return os.WriteFile(to, body, 0o644)
}

func exitsWith(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	if err != nil {
		m := regexp.MustCompile(`exit status (\d+)`).FindStringSubmatch(err.Error())
		if m == nil {
			ts.Fatalf("%v", err)
		}
		got, _ = strconv.Atoi(m[1])
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit code %d, want %s", got, args[0])
	}
}

func emptyFolder(ts *testscript.TestScript, neg bool, args []string) {
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	if (len(entries) == 0) == neg {
		ts.Fatalf("%s holds %v", args[0], entries)
	}
}

func cut(ts *testscript.TestScript, _ bool, args []string) {
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	path := ts.MkAbs(args[0])
	if size < 0 {
		info, err := os.Stat(path)
		ts.Check(err)
		size += info.Size()
	}
	ts.Check(os.Truncate(path, size))
}
