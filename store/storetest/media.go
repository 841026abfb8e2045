package storetest

import (
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"

	"mesure/study"
)

// abc is the SHA-256 of "abc" (FIPS 180-4, example of one block).
const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

// empty is the SHA-256 of nothing.
const empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"

func add(t *testing.T, l study.Library, name, content string) study.Media {
	t.Helper()
	return must[study.Media](t)(l.AddMedia(context.Background(), name, strings.NewReader(content)))
}

// sound fails where Check finds anything.
func sound(t *testing.T, l study.Library) {
	t.Helper()
	for _, w := range must[[]study.Warning](t)(l.Check(context.Background())) {
		t.Errorf("check finds %s: %s", w.Code, w.Text)
	}
}

func content(t *testing.T, l study.Library, sum string) string {
	t.Helper()
	path := must[string](t)(l.MediaPath(context.Background(), sum))
	return string(must[[]byte](t)(os.ReadFile(path)))
}

func testMedia(t *testing.T, l study.Library) {
	m := add(t, l, "bout.mp4", "abc")
	if m.SHA256 != abc || m.Name != "bout.mp4" || m.Bytes != 3 || m.Added.IsZero() {
		t.Errorf("added %+v", m)
	}
	if got := content(t, l, abc); got != "abc" {
		t.Errorf("read %q", got)
	}
	if m := add(t, l, "nothing.mp4", ""); m.SHA256 != empty || m.Bytes != 0 {
		t.Errorf("added %+v", m)
	}
	if got := content(t, l, empty); got != "" {
		t.Errorf("read %q", got)
	}
	large := strings.Repeat("0123456789abcdef", 1<<16)
	if m := add(t, l, "long.mp4", large); m.Bytes != 1<<20 || content(t, l, m.SHA256) != large {
		t.Errorf("a large file is not what it was: %+v", m)
	}
	all := must[[]study.Media](t)(l.ListMedia(context.Background()))
	if len(all) != 3 || all[0].SHA256 != abc || !all[0].Added.Equal(m.Added) || all[2].Name != "long.mp4" {
		t.Errorf("listed %+v", all)
	}
	sound(t, l)
}

func testMediaTwice(t *testing.T, l study.Library) {
	first := add(t, l, "first.mp4", "abc")
	second := add(t, l, "second.mp4", "abc")
	if second.Name != "first.mp4" || !second.Added.Equal(first.Added) || second.SHA256 != abc {
		t.Errorf("added first %+v, then %+v", first, second)
	}
	if all := must[[]study.Media](t)(l.ListMedia(context.Background())); len(all) != 1 {
		t.Errorf("%d media, want 1", len(all))
	}
	sound(t, l)
}

func testMediaRemoved(t *testing.T, l study.Library) {
	ctx := context.Background()
	isErr(t, l.RemoveMedia(ctx, abc), study.ErrNotFound)
	add(t, l, "bout.mp4", "abc")
	add(t, l, "other.mp4", "other")
	path := must[string](t)(l.MediaPath(ctx, abc))
	if err := l.RemoveMedia(ctx, abc); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the file stays: %v", err)
	}
	_, err := l.MediaPath(ctx, abc)
	isErr(t, err, study.ErrNotFound)
	isErr(t, l.RemoveMedia(ctx, abc), study.ErrNotFound)
	if all := must[[]study.Media](t)(l.ListMedia(ctx)); len(all) != 1 || all[0].Name != "other.mp4" {
		t.Errorf("listed %+v", all)
	}
	sound(t, l)
	if m := add(t, l, "again.mp4", "abc"); m.Name != "again.mp4" || content(t, l, abc) != "abc" {
		t.Errorf("added again: %+v", m)
	}
	sound(t, l)
}

// failing reads some bytes and then fails.
type failing struct {
	rest int
	err  error
}

func (f *failing) Read(b []byte) (int, error) {
	if f.rest == 0 {
		return 0, f.err
	}
	n := min(len(b), f.rest)
	f.rest -= n
	return n, nil
}

func testMediaBrokenReader(t *testing.T, l study.Library) {
	broken := errors.New("the card was pulled out")
	for _, n := range []int{0, 1, 100000} {
		_, err := l.AddMedia(context.Background(), "cut.mp4", &failing{n, broken})
		isErr(t, err, broken)
	}
	_, err := l.AddMedia(context.Background(), "cut.mp4", &failing{10, io.ErrUnexpectedEOF})
	isErr(t, err, io.ErrUnexpectedEOF)
	if all := must[[]study.Media](t)(l.ListMedia(context.Background())); len(all) != 0 {
		t.Errorf("listed %+v", all)
	}
	sound(t, l)
}

// A file that was changed behind the library's back is found.
func testCheck(t *testing.T, l study.Library) {
	add(t, l, "good.mp4", "good")
	add(t, l, "bout.mp4", "abc")
	sound(t, l)
	path := must[string](t)(l.MediaPath(context.Background(), abc))
	if err := os.WriteFile(path, []byte("abd"), 0o600); err != nil {
		t.Fatal(err)
	}
	found := must[[]study.Warning](t)(l.Check(context.Background()))
	if len(found) != 1 || found[0].Code != "media-altered" || found[0].About != abc || !strings.Contains(found[0].Text, "bout.mp4") {
		t.Errorf("found %+v", found)
	}
}
