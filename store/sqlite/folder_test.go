package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"mesure/store/sqlite"
	"mesure/study"
)

var ctx = context.Background()

// stocked makes a library with a document of two states and a video.
func stocked(t *testing.T, dir string) (study.Document, study.Media) {
	t.Helper()
	l := open(t, dir)
	d, err := l.Create(ctx, study.Document{ID: "bout", Kind: study.KindBout, Body: []byte(`{"a":1}`)})
	if err == nil {
		d, err = l.Save(ctx, d.ID, d.Revision, "second", []byte(`{"a":2}`))
	}
	if err != nil {
		t.Fatal(err)
	}
	m, err := l.AddMedia(ctx, "bout.mp4", strings.NewReader("frames"))
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return d, m
}

// holds fails unless the library has what stocked put in, undamaged.
func holds(t *testing.T, l study.Library, m study.Media) {
	t.Helper()
	d, err := l.Get(ctx, "bout")
	if err != nil || d.Revision != 2 || string(d.Body) != `{"a":2}` || !d.CanUndo {
		t.Errorf("the document is %+v, %v", d, err)
	}
	path, err := l.MediaPath(ctx, m.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "frames" {
		t.Errorf("the video is %q, %v", data, err)
	}
	if found, err := l.Check(ctx); err != nil || len(found) != 0 {
		t.Errorf("check: %v, %v", found, err)
	}
}

func codes(t *testing.T, l study.Library) string {
	t.Helper()
	found, err := l.Check(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, w := range found {
		all = append(all, w.Code)
	}
	return strings.Join(all, " ")
}

// A library may be moved, also to a folder whose name is no plain path in a URL.
func TestFolderMoved(t *testing.T) {
	root := t.TempDir()
	old := filepath.Join(root, "library")
	_, m := stocked(t, old)
	for _, name := range []string{"moved", "épée 100% sûr? #2 & a+b", "a%20b"} {
		next := filepath.Join(root, name)
		if err := os.Rename(old, next); err != nil {
			t.Fatal(err)
		}
		l := open(t, next)
		holds(t, l, m)
		if path, _ := l.MediaPath(ctx, m.SHA256); !strings.HasPrefix(path, next) {
			t.Errorf("the path %s does not lead into %s", path, next)
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		old = next
	}
	// Nothing inside names a folder outside, so nothing else was made either.
	if entries, _ := os.ReadDir(root); len(entries) != 1 {
		t.Errorf("moving left %v", entries)
	}
	err := filepath.WalkDir(old, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if bytes.Contains(data, []byte(root)) {
			t.Errorf("%s names its folder", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestSecondOpeningIsToldWhoHasIt(t *testing.T) {
	dir := t.TempDir()
	l := open(t, dir)
	_, err := sqlite.Open(ctx, dir, sqlite.Options{})
	if !errors.Is(err, study.ErrLocked) {
		t.Fatalf("got %v", err)
	}
	for _, want := range []string{"process " + strconv.Itoa(os.Getpid()), "since 20", "close it there first"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not say %q", err, want)
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if err := open(t, dir).Close(); err != nil {
		t.Error(err)
	}
}

func TestLaterVersionIsRefused(t *testing.T) {
	dir := t.TempDir()
	_, m := stocked(t, dir)
	set := func(version int, was *int) {
		db, err := sql.Open("sqlite", filepath.Join(dir, "library.db"))
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if err := db.QueryRow(`SELECT version FROM schema_version`).Scan(was); err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(`UPDATE schema_version SET version = ?`, version); err != nil {
			t.Fatal(err)
		}
	}
	now := 0
	set(99, &now)
	_, err := sqlite.Open(ctx, dir, sqlite.Options{})
	if !errors.Is(err, sqlite.ErrNewer) || !strings.Contains(err.Error(), "version 99") || !strings.Contains(err.Error(), "update the program") {
		t.Errorf("got %v", err)
	}
	set(now, new(int))
	holds(t, open(t, dir), m)
}

func TestOtherFoldersAreRefused(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.Open(ctx, dir, sqlite.Options{}); !errors.Is(err, sqlite.ErrNotLibrary) || !strings.Contains(err.Error(), "letter.txt") {
		t.Errorf("a folder of letters: %v", err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("the refused folder now holds %v", entries)
	}
	if _, err := sqlite.Open(ctx, filepath.Join(dir, "letter.txt"), sqlite.Options{}); err == nil {
		t.Error("a file was opened as a library")
	}
	foreign := t.TempDir()
	db, err := sql.Open("sqlite", filepath.Join(foreign, "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`CREATE TABLE book (title TEXT)`); err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := sqlite.Open(ctx, foreign, sqlite.Options{}); !errors.Is(err, sqlite.ErrNotLibrary) {
		t.Errorf("a database of books: %v", err)
	}
}

func TestDamagedDatabase(t *testing.T) {
	dir := t.TempDir()
	_, m := stocked(t, dir)
	path := filepath.Join(dir, "library.db")
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	try := func(name string, data []byte) error {
		t.Helper()
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		l, err := sqlite.Open(ctx, dir, sqlite.Options{})
		if err != nil {
			return err
		}
		defer l.Close()
		if got := codes(t, l); !strings.Contains(got, sqlite.DatabaseDamaged) {
			t.Errorf("%s: opened, and check finds only %q", name, got)
		}
		return sqlite.ErrDamaged
	}
	noise := bytes.Clone(good)
	copy(noise, "this is no database at all")
	torn := bytes.Clone(good)
	for i := 4096; i < len(torn); i++ { // every page but the first
		torn[i] ^= 0x5a
	}
	for name, data := range map[string][]byte{"no database": noise, "torn pages": torn, "cut short": good[:5000]} {
		if err := try(name, data); !errors.Is(err, sqlite.ErrDamaged) || !strings.Contains(err.Error(), "put a copy of library.db back") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// A copy put back is all it takes.
	if err := os.WriteFile(path, good, 0o600); err != nil {
		t.Fatal(err)
	}
	holds(t, open(t, dir), m)
}

func TestCheckFindsDamage(t *testing.T) {
	dir := t.TempDir()
	_, m := stocked(t, dir)
	file := filepath.Join(dir, "media", m.SHA256[:2], m.SHA256)
	l := open(t, dir)
	write := func(path, s string) {
		if err := os.WriteFile(path, []byte(s), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(file, "framez")
	if got := codes(t, l); got != sqlite.MediaAltered {
		t.Errorf("an altered video: %q", got)
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if got := codes(t, l); got != sqlite.MediaMissing {
		t.Errorf("a missing video: %q", got)
	}
	// To add the video again mends it.
	if again, err := l.AddMedia(ctx, "again.mp4", strings.NewReader("frames")); err != nil || again.Name != "bout.mp4" {
		t.Errorf("added again: %+v, %v", again, err)
	}
	holds(t, l, m)
	write(filepath.Join(dir, "media", "stray.mp4"), "stray")
	if got := codes(t, l); got != sqlite.MediaUnnamed {
		t.Errorf("a stray file: %q", got)
	}
	l.Close()

	db, err := sql.Open("sqlite", filepath.Join(dir, "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, q := range []string{
		`DELETE FROM state WHERE document = 'bout' AND revision = 2`,
		`UPDATE state SET body = '{' WHERE document = 'bout'`,
		`INSERT INTO document (id, kind, owner, revision, last) VALUES ('lost', 'touch', 'nobody', 1, 1)`,
	} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	want := strings.Join([]string{sqlite.DocumentOrphan, sqlite.DocumentOrphan, sqlite.BodyDamaged, sqlite.MediaUnnamed}, " ")
	if got := codes(t, open(t, dir)); got != want {
		t.Errorf("orphans: %q, want %q", got, want)
	}
}

// Open removes what a killed process left, and finishes what it had listed.
func TestOpenCleansUp(t *testing.T) {
	dir := t.TempDir()
	_, m := stocked(t, dir)
	media := filepath.Join(dir, "media")
	file := filepath.Join(media, m.SHA256[:2], m.SHA256)
	half := filepath.Join(media, "incoming-12345")
	unlisted := filepath.Join(media, m.SHA256[:2], m.SHA256[:2]+strings.Repeat("0", 62)+".ready")
	for _, path := range []string{half, unlisted} {
		if err := os.WriteFile(path, []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Rename(file, file+".ready"); err != nil {
		t.Fatal(err)
	}
	holds(t, open(t, dir), m)
	for _, path := range []string{half, unlisted, file + ".ready"} {
		if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s is still there (%v)", path, err)
		}
	}
}

// The clock and the chance are handed in: equal ones give an equal library.
func TestClockAndChanceAreHandedIn(t *testing.T) {
	at := time.Date(2026, 3, 7, 18, 30, 0, 123456789, time.FixedZone("", 3600))
	made := func() study.Document {
		l, err := sqlite.Open(ctx, t.TempDir(), sqlite.Options{Clock: func() time.Time { return at }, IDs: rand.NewPCG(1, 2)})
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		d, err := l.Create(ctx, study.Document{Kind: study.KindBout, Body: []byte(`1`)})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	a, b := made(), made()
	if a.ID != b.ID || len(a.ID) != 20 {
		t.Errorf("equal chance gave %q and %q", a.ID, b.ID)
	}
	if !a.Saved.Equal(at) {
		t.Errorf("saved at %v, want %v", a.Saved, at)
	}
}
