package main

import (
	"context"
	"errors"
	"io/fs"
	"syscall"
	"testing"

	"mesure/bundle"
	"mesure/measure/camera"
	"mesure/study"
	"mesure/video"
)

func TestErrorsBecomeExitCodes(t *testing.T) {
	for _, c := range []struct {
		name string
		err  error
		want code
	}{
		{"nothing", nil, ok},
		{"a fault of ours", errors.New("odd"), internal},
		{"a flag", misuse("--draws: 3"), wrongUse},
		{"a wrong touch file", &bundle.Error{Problems: []bundle.Problem{{Text: "x"}}}, badFile},
		{"a frame beyond the end", at("t.json", &study.Refusal{At: "/takes/0/to", What: "x"}), badFile},
		{"no camera", at("t.json", &study.Refusal{At: "/placings/0", Because: camera.ErrTooFew}), refused},
		{"no video", at("t.json", &study.Refusal{At: "/videos/0/file", Because: video.ErrMissing}), badVideo},
		{"a video that may not be read", &video.Error{Code: video.CodeNoAccess, Cause: fs.ErrPermission}, badVideo},
		{"no room for a clip", &video.Error{Code: video.CodeDiskFull}, disk},
		{"a locked library", at("lib", study.ErrLocked), library},
		{"a conflict", &study.ConflictError{}, library},
		{"a full disk", at("out", &fs.PathError{Err: syscall.ENOSPC}), disk},
		{"a read-only disk", at("out", &fs.PathError{Err: syscall.EROFS}), disk},
		{"not permitted", at("out", fs.ErrPermission), disk},
		{"a full disk under the library", at("lib", errors.Join(study.ErrNotFound, syscall.ENOSPC)), disk},
		{"Ctrl-C", at("out", context.Canceled), interrupted},
		{"Ctrl-C in the footage", &study.Refusal{Because: context.Canceled}, interrupted},
	} {
		if got := codeOf(c.err); got != c.want {
			t.Errorf("%s: exit code %d, want %d", c.name, got, c.want)
		}
	}
}

func TestEveryExitCodeHasOneMeaning(t *testing.T) {
	seen := map[code]bool{}
	for _, e := range exits() {
		if seen[e.code] || e.meaning == "" {
			t.Errorf("code %d: %q", e.code, e.meaning)
		}
		seen[e.code] = true
	}
	for _, c := range []code{ok, internal, wrongUse, badFile, refused, badVideo, library, disk, interrupted} {
		if !seen[c] {
			t.Errorf("code %d has no meaning", c)
		}
	}
}
