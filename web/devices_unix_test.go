//go:build unix

package web

import (
	"path/filepath"
	"syscall"
	"testing"
)

// devices returns paths of things that are no files; to open one may never return.
func devices(t *testing.T, dir string) []string {
	t.Helper()
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	return []string{"/dev/zero", pipe}
}
