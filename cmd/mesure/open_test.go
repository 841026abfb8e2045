package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"mesure/bundle"
	"mesure/store/sqlite"
	"mesure/video"
	"mesure/web"
)

// opened starts "mesure open" on a library and returns its address and what ends it.
func opened(t *testing.T, dir string) (address string, end func() error) {
	t.Helper()
	r, w := io.Pipe()
	b := &bench{terminal: &terminal{out: w, err: io.Discard, columns: 80}, library: dir, asJSON: true}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() {
		ended <- runOpen(ctx, b, openOptions{Addr: "127.0.0.1:0", NoBrowser: true})
		w.Close()
	}()
	var said struct{ Address string }
	if err := json.NewDecoder(r).Decode(&said); err != nil {
		cancel()
		t.Fatalf("%v, %v", err, <-ended)
	}
	return said.Address, func() error { cancel(); return <-ended }
}

func TestOpenServesUntilItIsStopped(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "library")
	address, end := opened(t, dir)
	for path, want := range map[string]string{"": "Mesure", "api/salle": dir, "look.css": "font-face"} {
		answer, err := http.Get(address + path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil || !strings.Contains(string(body), want) {
			t.Errorf("/%s: %q, %v", path, body, err)
		}
	}
	// What the papers refuse comes back with its places, in the words of the file.
	answer, err := http.Post(address+"api/bouts", "application/json", strings.NewReader(`{"sheet":{"bout":{"weapon":"axe","left":{},"right":{}},"videos":[]}}`))
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(string(body), `"location":"/bout/weapon"`) {
		t.Errorf("a weapon that is none: %d %s %v", answer.StatusCode, body, err)
	}
	// A window that listens does not keep the program from ending.
	events, err := http.Get(address + "api/events")
	if err != nil {
		t.Fatal(err)
	}
	defer events.Body.Close()

	again := func(args ...string) error {
		c := newRootCommand(&bench{terminal: &terminal{out: io.Discard, err: io.Discard, columns: 80}})
		c.SetArgs(append([]string{"open", "--no-browser"}, args...))
		return c.Execute()
	}
	// The port is taken now, and so is the library: both are told, with the address.
	if err := again("--addr", strings.Trim(address, "htp:/"), "--library", t.TempDir()); codeOf(err) != wrongUse || !strings.Contains(err.Error(), "is taken by another program") {
		t.Errorf("a second server: %v", err)
	}
	if err := again("--library", dir); codeOf(err) != library || !strings.Contains(err.Error(), "process") || !strings.Contains(hintOf(err), "go to "+address) {
		t.Errorf("a second look at the library: %v; %s", err, hintOf(err))
	}
	if err := end(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(filepath.Join(dir, addressFile)); err == nil {
		t.Error("the address of a desk that is closed stays in the library")
	}
}

// TestWhatOtherRoomsSay: each kind of error that a user meets has its words.
func TestWhatOtherRoomsSay(t *testing.T) {
	for want, err := range map[web.FaultKind]error{
		web.FaultSpace:    fmt.Errorf("copy: %w", syscall.ENOSPC),
		web.FaultReadOnly: fmt.Errorf("copy: %w", fs.ErrPermission),
		web.FaultDamaged:  fmt.Errorf("open: %w", sqlite.ErrDamaged),
		web.FaultVideo:    fmt.Errorf("probe: %w", video.ErrNotVideo),
		web.FaultRefused:  &bundle.Error{Name: "touch", Problems: []bundle.Problem{{Pointer: "/a", Text: "b"}}},
	} {
		f, ok := faultOf(err)
		if !ok || f.Kind != want {
			t.Errorf("%v: %+v", err, f)
		}
		if want == web.FaultVideo && (f.What == "" || f.Mend == "") || want == web.FaultRefused && len(f.Problems) != 1 {
			t.Errorf("%v: says nothing: %+v", err, f)
		}
	}
	if _, ok := faultOf(io.EOF); ok {
		t.Error("an error that nobody knows is explained")
	}
}

func TestAddresses(t *testing.T) {
	for addr, want := range map[string]string{"": "127.0.0.1 8420", "8421": "127.0.0.1 8421", ":0": "127.0.0.1 0", "[::1]:80": "::1 80", "salle.local:1": "salle.local 1"} {
		if host, port, err := splitAddr(addr); err != nil || host+" "+port != want {
			t.Errorf("%q: %s %s %v", addr, host, port, err)
		}
	}
	for _, addr := range []string{"localhost", "a:b", "1.2.3.4:70000", "::1:80"} {
		if _, _, err := splitAddr(addr); codeOf(err) != wrongUse {
			t.Errorf("%q: %v", addr, err)
		}
	}
	for host, open := range map[string]bool{"127.0.0.1": false, "::1": false, "localhost": false, "127.0.0.2": false, "0.0.0.0": true, "192.0.2.7": true, "salle.local": true} {
		if _, got := namesOf(host); got != open {
			t.Errorf("%s: open to other machines: %v", host, got)
		}
	}
}

func TestBrowserOfTheSystem(t *testing.T) {
	desktop := func(name string) string { return map[string]string{"DISPLAY": ":0"}[name] }
	none := func(string) string { return "" }
	for _, c := range []struct {
		system string
		env    func(string) string
		user   int
		want   string
	}{
		{"linux", desktop, 1000, "xdg-open"},
		{"linux", desktop, 0, ""},
		{"linux", none, 1000, ""},
		{"darwin", none, 501, "open"},
		{"windows", none, -1, "rundll32 url.dll,FileProtocolHandler"},
	} {
		if got := strings.Join(browser(c.system, c.env, c.user), " "); got != c.want {
			t.Errorf("%s: %q, want %q", c.system, got, c.want)
		}
	}
}
