package clip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"image"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"mesure/show/handoff"
	"mesure/show/report"
	"mesure/show/script"
)

// shoot is a studio that keeps what it is given: a piece is the hash of its frames.
type shoot struct {
	lamp
	mu     sync.Mutex
	pieces int
	of     map[string][]float64 // the corner of every frame of a piece
	lumas  []float64            // of all frames, once they are joined
	breaks int                  // the sink that breaks, from 1; 0 none
	joined []string
	sounds []Sound
}

type keptPiece struct {
	s      *shoot
	path   string
	h      []byte
	lumas  []float64
	broken bool
}

func (s *shoot) Piece(_ context.Context, path string, f Form, w, h int) (Sink, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pieces++
	return &keptPiece{s: s, path: path, broken: s.breaks == s.pieces}, nil
}

func (k *keptPiece) Add(p *image.YCbCr) error {
	if k.broken && len(k.lumas) == 3 {
		return errors.New("the disk is full")
	}
	k.lumas = append(k.lumas, float64(p.Y[p.YStride*(p.Rect.Dy()/2)+2]))
	sum := sha256.New()
	sum.Write(k.h)
	sum.Write(p.Y)
	sum.Write(p.Cb)
	sum.Write(p.Cr)
	k.h = sum.Sum(nil)
	return nil
}

func (k *keptPiece) Close() error {
	k.s.mu.Lock()
	defer k.s.mu.Unlock()
	if k.s.of == nil {
		k.s.of = map[string][]float64{}
	}
	k.s.of[k.path] = k.lumas
	return os.WriteFile(k.path, k.h, 0o666)
}
func (k *keptPiece) Abort() {}

type keptAlpha struct {
	frames int
	path   string
}

func (k *keptAlpha) Add(*image.RGBA) error { k.frames++; return nil }
func (k *keptAlpha) Close() error          { return os.WriteFile(k.path, []byte{byte(k.frames)}, 0o666) }
func (k *keptAlpha) Abort()                {}

func (s *shoot) Overlays(_ context.Context, path string, f Form, w, h int) (AlphaSink, error) {
	return &keptAlpha{path: path}, nil
}

func (s *shoot) Join(_ context.Context, path string, pieces []string, f Form, sounds []Sound, chapters []Chapter) error {
	var all []byte
	for _, p := range pieces {
		b, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		all = append(all, b...)
		s.lumas = append(s.lumas, s.of[p]...)
	}
	s.joined, s.sounds = pieces, sounds
	return os.WriteFile(path, all, 0o666)
}

func (s *shoot) Lost(Form) []string { return nil }

// Pieces add up to the clip, cues neither overlap nor leave it, and the captions are
// written.
func TestPiecesAndCuesAddUp(t *testing.T) {
	r := stagedReading(t)
	s := drafted(t, r)
	b, err := Draft(r, s, []report.Plate{card("", report.KindRace)}, Form{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := Make(Input{Reading: r, Script: s, Board: b, Plates: []report.Plate{card("", report.KindRace)}})
	if err != nil || len(f.Troubles()) > 0 {
		t.Fatal(err, f.Troubles())
	}
	n := 0
	for _, p := range f.Pieces() {
		if p.First != n || p.Frames < 1 || len(p.Key) != 40 {
			t.Errorf("piece %+v does not follow frame %d", p, n)
		}
		n += p.Frames
	}
	if n != f.Frames() || math.Abs(float64(f.Lasts())-float64(n)/30) > 1e-12 {
		t.Errorf("the pieces have %d frames, the clip %d in %v s", n, f.Frames(), f.Lasts())
	}
	cues := f.Cues()
	if len(cues) < 4 {
		t.Fatalf("%d cues", len(cues))
	}
	for i, c := range cues {
		if c.To <= c.From || c.To > f.Lasts() || i > 0 && c.From < cues[i-1].To {
			t.Errorf("cue %d, %v to %v, is out of order", i, c.From, c.To)
		}
	}
	var vtt, chapters bytes.Buffer
	if err := handoff.WriteVTT(&vtt, cues); err != nil {
		t.Error(err)
	}
	if err := handoff.WriteChapters(&chapters, cues, f.Lasts()); err != nil {
		t.Error(err)
	}
	if got, want := strings.Count(chapters.String(), "-->"), len(f.Chapters()); got != want || want < 3 {
		t.Errorf("%d chapters are written, the film has %d", got, want)
	}
	if err := handoff.WriteTimeline(&vtt, f.Cut()); err != nil {
		t.Error(err)
	}
	if err := handoff.WriteShots(&vtt, f.Cut()); err != nil {
		t.Error(err)
	}
	// What is burnt in is what the file has: the same words, screen by screen.
	var burnt []string
	for _, x := range f.shots {
		for _, s := range x.texts {
			burnt = append(burnt, strings.Join(s.Lines, "\n"))
		}
	}
	shown, err := handoff.Screens(cues)
	if err != nil || len(shown) != len(burnt) {
		t.Fatalf("%d screens are burnt in, the file has %d: %v", len(burnt), len(shown), err)
	}
	for i, s := range shown {
		if strings.Join(s.Lines, "\n") != burnt[i] {
			t.Errorf("screen %d is %q in the picture and %q in the file", i, burnt[i], s.Lines)
		}
	}
}

// Slow motion shows the frames of the take at their place on the clock, mixed between
// them; a hold and the end of a shot stand.
func TestFramesOfTheTakeAreWhereTheClockHasThem(t *testing.T) {
	f := filmOf(t, Board{Form: Form{Captions: "file"}, Shots: []Shot{
		{ID: "a", Kind: Slow, Take: "live", From: 4, To: 12, Speed: 0.25, Layers: []string{}},
		{ID: "b", Kind: Hold, Take: "live", From: 20, Lasts: 2, Layers: []string{}},
		{ID: "c", Kind: Live, Take: "live", From: 0, To: 29},
	}})
	f.st = stageOf(f.form, 320)
	s := &shoot{}
	if err := f.RenderTo(context.Background(), filepath.Join(t.TempDir(), "clip.mp4"), "", s, nil); err != nil {
		t.Fatal(err)
	}
	if len(s.lumas) != f.Frames() {
		t.Fatalf("%d frames were written, the clip has %d", len(s.lumas), f.Frames())
	}
	at := func(i int) float64 { return s.lumas[i] }
	slow, hold, live := f.Pieces()[0], f.Pieces()[1], f.Pieces()[2]
	for i := range slow.Frames {
		pos := math.Min(12, 4+float64(i)/30*0.25*25) // 25 frames a second
		if want := luma(0) + 5*pos; math.Abs(at(i)-want) > 0.6 {
			t.Errorf("frame %d shows luma %v, the clock asks for %.2f", i, at(i), want)
		}
	}
	// 8 frames of 40 ms at a quarter: 1.28 s, and the last frame once.
	if slow.Frames != 40 || hold.Frames != 60 {
		t.Errorf("the slow shot has %d frames, the hold %d", slow.Frames, hold.Frames)
	}
	for i := range hold.Frames {
		if at(hold.First+i) != luma(20) {
			t.Fatal("the hold does not stand on its frame")
		}
	}
	for i := range live.Frames {
		pos := math.Min(29, float64(i)/30*25)
		got := (at(live.First+i) - luma(0)) / 5
		if math.Abs(got-pos) > 0.5+1e-6 || got != math.Round(got) {
			t.Errorf("frame %d of the live shot shows frame %v of the take, not the one nearest to %.2f", i, got, pos)
		}
	}
}

// The same inputs give the same pixels, in one goroutine and in several; finished pieces
// are used again; what broke off leaves no clip and goes on where it was.
func TestRenderAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("renders a clip three times")
	}
	dir := t.TempDir()
	path, cache := filepath.Join(dir, "clip.mp4"), filepath.Join(dir, "pieces")
	small := func() *Film {
		f := filmOf(t, wholeBoard())
		f.st = stageOf(f.form, 320)
		return f
	}
	f := small()
	broken := &shoot{breaks: 4}
	if err := f.RenderTo(context.Background(), path, cache, broken, nil); err == nil {
		t.Fatal("a full disk goes unnoticed")
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a clip stands there that was never finished")
	}
	// Of the pieces before the fourth at least the first is whole; a broken one is not kept.
	whole, _ := filepath.Glob(filepath.Join(cache, "*.mp4"))
	if len(whole) < 1 || len(whole) > 4 {
		t.Errorf("%d pieces of six are kept after the fourth broke", len(whole))
	}
	s := &shoot{}
	var shares []float64
	if err := f.RenderTo(context.Background(), path, cache, s, func(x float64) { shares = append(shares, x) }); err != nil {
		t.Fatal(err)
	}
	if s.pieces != 6-len(whole) {
		t.Errorf("%d pieces were rendered after %d of six were there", s.pieces, len(whole))
	}
	if !slices.IsSorted(shares) || shares[len(shares)-1] != 1 {
		t.Error("the share that is done goes back, or does not end at 1")
	}
	first, _ := os.ReadFile(path)
	serial := small()
	serial.serial = true
	if err := serial.RenderTo(context.Background(), path, "", &shoot{}, nil); err != nil {
		t.Fatal(err)
	}
	second, _ := os.ReadFile(path)
	if len(first) == 0 || !bytes.Equal(first, second) {
		t.Error("the same storyboard gave other pictures in one goroutine")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".pieces-*")); len(left) > 0 {
		t.Error("pieces were left lying about")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := f.RenderTo(ctx, filepath.Join(dir, "other.mp4"), "", &shoot{}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("a render that was called off says %v", err)
	}
}

// The errors of a take reach the caller.
func TestBrokenTape(t *testing.T) {
	f := filmOf(t, wholeBoard())
	s := &shoot{lamp: lamp{breaks: 5}}
	err := f.RenderTo(context.Background(), filepath.Join(t.TempDir(), "clip.mp4"), "", s, nil)
	if err == nil || !strings.Contains(err.Error(), "the tape broke") {
		t.Errorf("the error is %v", err)
	}
	if _, err := f.PictureAt(context.Background(), s, 40, 320); err == nil {
		t.Error("a picture of a broken tape")
	}
}

// A change to one shot changes its key and no other; the ID and the sound are not in the
// pictures; the script's words are.
func TestKeys(t *testing.T) {
	keys := func(b Board) (out []string) {
		for _, p := range filmOf(t, b).Pieces() {
			out = append(out, p.Key)
		}
		return out
	}
	was := keys(wholeBoard())
	if again := keys(wholeBoard()); !slices.Equal(was, again) {
		t.Fatal("equal boards have other keys")
	}
	for i := range was {
		b := wholeBoard()
		s := &b.Shots[i]
		switch s.Kind {
		case Plate, Hold, Build:
			s.Lasts += 1
		default:
			s.To--
		}
		for k, now := range keys(b) {
			if (now != was[k]) != (k == i) {
				t.Errorf("a change to shot %d: key %d changed is %v", i, k, now != was[k])
			}
		}
	}
	b := wholeBoard()
	b.Form.Sound = "original"
	b.Shots[2].ID = "another"
	if !slices.Equal(keys(b), was) {
		t.Error("the sound or an ID changes a key")
	}
	b = wholeBoard()
	b.Form.Shape = Square
	for k, now := range keys(b) {
		if now == was[k] {
			t.Errorf("key %d is the same in another shape", k)
		}
	}
	// A plate that is drawn otherwise.
	r := stagedReading(t)
	other := card("", report.KindRace)
	other.Wide.Title = "Another finding"
	f, err := Make(Input{Reading: r, Script: drafted(t, r), Board: wholeBoard(), Plates: []report.Plate{other}})
	if err != nil {
		t.Fatal(err)
	}
	for k, p := range f.Pieces() {
		if (p.Key != was[k]) != (k == 4) {
			t.Errorf("another plate: key %d changed is %v", k, p.Key != was[k])
		}
	}
}

// A picture has the size asked for; frame by frame the picture is the one that is
// rendered; the overlay alone is clear where nothing is drawn and as long as the clip.
func TestPicturesAndOverlays(t *testing.T) {
	f := filmOf(t, wholeBoard())
	l := &lamp{}
	for _, n := range []int{0, 50, f.Frames() - 1} {
		img, err := f.PictureAt(context.Background(), l, n, 320)
		if err != nil || img.Rect != image.Rect(0, 0, 320, 180) {
			t.Fatalf("frame %d: %v %v", n, img.Bounds(), err)
		}
	}
	for _, n := range []int{-1, f.Frames()} {
		if _, err := f.Picture(context.Background(), l, n); err == nil {
			t.Errorf("frame %d is there", n)
		}
		if _, err := f.OverlayPNG(n); err == nil {
			t.Errorf("the overlay of frame %d is there", n)
		}
	}
	build := f.Pieces()[2]
	img, err := f.OverlayPNG(build.First + build.Frames - 1)
	if err != nil {
		t.Fatal(err)
	}
	clear, drawn, words := 0, 0, 0
	for y := range 720 {
		for x := range 1280 {
			switch c := img.RGBAAt(x, y); {
			case c.A == 0:
				clear++
			case y > 590: // where the captions stand
				words++
			default:
				drawn++
			}
		}
	}
	if clear < 1280*720/2 || drawn < 2000 || words > 0 {
		t.Errorf("%d pixels are clear, %d drawn, %d of captions", clear, drawn, words)
	}
	if img, _ := f.OverlayPNG(f.Pieces()[4].First); img.RGBAAt(640, 100).A != 255 {
		t.Error("a plate is not opaque")
	}
}

// Names in every script, empty and endless, are set without harm.
func TestNames(t *testing.T) {
	for _, name := range []string{"", "李明 アダ", "محمد بن علي", "🤺🤺 Ada", strings.Repeat("Wilhelmina ", 27), "a\nb\x00c", "\u202eevil"} {
		r := *stagedReading(t)
		touch := *r.Touch
		touch.Bout.Left.Name = name
		r.Touch = &touch
		s := drafted(t, &r)
		b := Board{Form: Form{Shape: Upright}, Shots: []Shot{{ID: "a", Kind: Hold, Title: name, Take: "live", From: 10, Lines: []string{"opening fencers", "opening lamps"}}, {ID: "b", Kind: Plate, Title: name}}}
		f, err := Make(Input{Reading: &r, Script: s, Board: b})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range f.Pieces() {
			if _, err := f.PictureAt(context.Background(), &lamp{}, p.First+p.Frames/2, 90); err != nil {
				t.Errorf("%q: %v", name, err)
			}
		}
	}
	// Without names none is in the words of the picture.
	r := stagedReading(t)
	s, err := script.Draft(r, script.Options{Names: script.Anonymous})
	if err != nil {
		t.Fatal(err)
	}
	f, err := Make(Input{Reading: r, Script: s, Board: wholeBoard(), Plates: []report.Plate{card("", report.KindRace)}})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range f.shots {
		if strings.Contains(strings.Join(x.names[:], " ")+x.label, "Lindqvist") {
			t.Errorf("%q is named", x.names)
		}
	}
}
