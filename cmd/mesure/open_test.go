package main

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
)

func TestOpenServesUntilItIsStopped(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "out", "told", reportName), "<p>told</p>")
	r, w := io.Pipe()
	b := &bench{terminal: &terminal{out: w, err: io.Discard, columns: 80}, library: filepath.Join(dir, "none"), asJSON: true}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- runOpen(ctx, b, openOptions{Folders: []string{filepath.Join(dir, "out")}}) }()

	var said struct{ Address string }
	if err := json.NewDecoder(r).Decode(&said); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{"": "/breakdown/told/", "breakdown/told/": "<p>told</p>"} {
		answer, err := http.Get(said.Address + path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil || !strings.Contains(string(body), want) {
			t.Errorf("/%s: %q, %v", path, body, err)
		}
	}
	// The port is taken now, and that is told.
	_, port, _ := strings.Cut(strings.TrimPrefix(said.Address, "http://"), ":")
	second := newRootCommand(&bench{terminal: &terminal{out: io.Discard, err: io.Discard, columns: 80}})
	second.SetArgs([]string{"open", "--port", strings.TrimSuffix(port, "/")})
	if err := second.Execute(); codeOf(err) != wrongUse || !strings.Contains(err.Error(), "is taken by another program") {
		t.Errorf("a second server: %v", err)
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
