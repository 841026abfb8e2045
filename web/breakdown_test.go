package web

import (
	"archive/zip"
	"bytes"
	"context"
	"image/png"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"mesure/show/album"
	"mesure/sport/mark"
)

// told is a bench with a touch that was marked and saved; at is its address.
func toldBench(t *testing.T) (b *bench, at string) {
	t.Helper()
	b, path, touch := onBench(t)
	at = strings.TrimSuffix(path, "/reading")
	// One measured frame is enough, and quickly drawn.
	touch.Placings, touch.Moments = touch.Placings[1:2], touch.Moments[1:2]
	touch.Marks = slices.DeleteFunc(touch.Marks, func(m mark.Mark) bool { return m.Frame != touch.Placings[0].Frame })
	touch.Title, touch.Bout.Left.Name = "The told touch", "A. Norden"
	must[TouchPaper](b, http.MethodPut, at, object{"base": 1, "gesture": "mark everything", "touch": touch})
	return b, at
}

func TestBreakdown(t *testing.T) {
	b, at := toldBench(t)
	got := must[Breakdown](b, http.MethodGet, at+"/breakdown", nil)
	if got.Title != "The told touch" || got.Finding == "" || got.Summary.Race == nil {
		t.Fatalf("%q, %q", got.Title, got.Finding)
	}
	kinds := map[string]int{}
	for _, p := range got.Plates {
		kinds[p.Kind]++
		pictures := []string{p.Wide, p.Phone, p.Wide + "?theme=night", p.PNG}
		if testing.Short() {
			pictures = pictures[:1] // drawing is slow under the race detector, and the same for all
		}
		for _, href := range pictures {
			w := b.ask(http.MethodGet, href, nil)
			switch {
			case w.Code != http.StatusOK:
				t.Errorf("%s: %d", href, w.Code)
			case strings.Contains(href, ".png"):
				if _, err := png.Decode(w.Body); err != nil {
					t.Errorf("%s: %v", href, err)
				}
			case w.Header().Get("Content-Type") != "image/svg+xml" || !strings.Contains(w.Header().Get("Content-Security-Policy"), "default-src 'none'"):
				t.Errorf("%s: %v", href, w.Header())
			}
		}
	}
	if kinds["race"] != 1 || kinds["stave"] != 1 || kinds["gaps"] != 1 || kinds["placing"] != 1 {
		t.Errorf("plates %v", kinds)
	}
	for _, f := range got.Files {
		w := b.ask(http.MethodGet, f.Href, nil)
		if w.Code != http.StatusOK || !strings.Contains(w.Header().Get("Content-Disposition"), f.Name) || w.Body.Len() == 0 && f.Name != "reading.json" { // the papers of this bench write no readings
			t.Errorf("%s: %d %v", f.Href, w.Code, w.Header())
		}
	}
	w := b.ask(http.MethodGet, at+"/file/report.html?open=1", nil)
	if policy := w.Header().Get("Content-Security-Policy"); w.Header().Get("Content-Disposition") != "" || !strings.Contains(policy, "sandbox") || !strings.Contains(policy, "style-src 'unsafe-inline'") || strings.Contains(policy, "script-src") {
		t.Errorf("a report to be looked at: %v", w.Header())
	}
	if w := b.ask(http.MethodGet, at+"/file/touch.json?open=1", nil); w.Header().Get("Content-Disposition") == "" {
		t.Error("only a page is looked at; the rest is kept")
	}
	for _, path := range []string{at + "/picture/none.svg", at + "/picture/race.gif", at + "/file/none", at + "/file/..%2f..%2fsecret.txt", "/api/touches/none/breakdown"} {
		b.refused(http.StatusNotFound, http.MethodGet, path, nil)
	}
}

// TestTheWholeBreakdownInOneFile: every file is in it and none names anybody where
// names are to be hidden.
func TestTheWholeBreakdownInOneFile(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	b, at := toldBench(t)
	for _, hidden := range []bool{false, true} {
		path := at + "/breakdown.zip"
		if hidden {
			path += "?hide_names=1"
		}
		w := b.ask(http.MethodGet, path, nil)
		z, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len()))
		if err != nil {
			t.Fatal(err)
		}
		names, named := []string{}, false
		for _, f := range z.File {
			names = append(names, f.Name[strings.Index(f.Name, "/")+1:])
			if age := time.Since(f.Modified); age < 0 || age > time.Hour {
				t.Errorf("%s is of %v", f.Name, f.Modified)
			}
			r, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			text, err := io.ReadAll(r)
			if err != nil {
				t.Fatal(err)
			}
			named = named || bytes.Contains(text, []byte("Norden"))
		}
		all := strings.Join(names, " ")
		for _, want := range []string{"README.txt", "report.html", "reading.json", "touch.json", "plates/race.svg", "plates/race-phone.png", "plates/stave.svg", "plates/gaps-live-0025.svg"} {
			if !strings.Contains(all, want) {
				t.Errorf("%s is missing: %s", want, all)
			}
		}
		if hidden && named {
			t.Error("names are hidden and a file names a fencer")
		}
	}
}

// TestAZipThatBreaksOffIsNone: where one file cannot be made, what was sent by then
// does not read as a zip file, and no work goes on.
func TestAZipThatBreaksOffIsNone(t *testing.T) {
	sound := func(w io.Writer) error { _, err := io.WriteString(w, "sound"); return err }
	files := []album.File{{Name: "a.txt", Write: sound}, {Name: "b.png", Write: sound}, {Name: "c.txt", Write: sound}}
	var b bytes.Buffer
	if err := pack(t.Context(), &b, "touch", time.Now(), files); err != nil {
		t.Fatal(err)
	}
	if z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len())); err != nil || len(z.File) != 3 || z.File[1].Name != "touch/b.png" {
		t.Fatalf("%v, %v", z, err)
	}
	b.Reset()
	files[2].Write = func(io.Writer) error { return io.ErrUnexpectedEOF }
	err := pack(t.Context(), &b, "touch", time.Now(), files)
	if _, bad := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len())); err == nil || bad == nil {
		t.Errorf("%v; it reads: %v", err, bad == nil)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	files[2].Write = sound
	if err := pack(gone, io.Discard, "touch", time.Now(), files); err == nil {
		t.Error("nobody is there and all is sent")
	}
}

// TestABreakdownThatIsNotThereYet says what is missing, and is no error.
func TestABreakdownThatIsNotThereYet(t *testing.T) {
	b, path, _ := onBench(t)
	got := must[Breakdown](b, http.MethodGet, strings.TrimSuffix(path, "/reading")+"/breakdown", nil)
	if got.Finding != "" || len(got.Summary.Needs) == 0 || got.Plates == nil || got.Files == nil {
		t.Errorf("%+v", got)
	}
}

// TestADrawnBreakdownIsKept: the same state is drawn once, another anew.
func TestADrawnBreakdownIsKept(t *testing.T) {
	b, at := toldBench(t)
	one := must[Breakdown](b, http.MethodGet, at+"/breakdown", nil)
	two := must[Breakdown](b, http.MethodGet, at+"/breakdown", nil)
	if one.Summary.Inputs != two.Summary.Inputs || len(b.albums.kept) != 1 {
		t.Errorf("%d breakdowns are kept", len(b.albums.kept))
	}
}
