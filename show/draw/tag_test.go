package draw

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// leaflet is a document of two pages with roles.
func leaflet() Book {
	ink := Hex(0x111111)
	line := func(g *Group, y MM, f Font, s string) {
		g.Text(Text{At: Pt{10, y}, S: s, Font: f, Size: 5, Colour: ink})
	}
	one := New(100, 140, "A lesson", "")
	one.Stroke(Segment(Pt{10, 5}, Pt{90, 5}), Pen{Colour: ink, Width: 0.2})
	line(one.Tag(RoleH1, ""), 15, SerifBold, "What to watch for")
	one.Tag(RoleP, "").Paragraph(Text{At: Pt{10, 25}, S: "The hand starts before the foot, and the point has 24 cm less to travel.", Font: Serif, Size: 4, Colour: ink}, 60, 5)
	list := one.Tag(RoleList, "")
	for i, s := range []string{"First question", "Second question"} {
		item := list.Tag(RoleItem, "")
		line(item.Tag(RoleLabel, ""), 60+10*MM(i), SansBold, string(rune('1'+i))+".")
		item.Tag(RoleBody, "").Text(Text{At: Pt{20, 60 + 10*MM(i)}, S: s, Font: Sans, Size: 4, Colour: ink})
	}
	picture := one.Tag(RoleFigure, "A drawing of a square")
	picture.Shift(10, 90).Fill(Box{0, 0, 30, 30}.Path(), Hex(0x1b5fa6))
	picture.Text(Text{At: Pt{12, 130}, S: "square", Font: Sans, Size: 4, Colour: ink, Halo: Hex(0xffffff), HaloWidth: 0.5})
	line(&one.Group, 137, Sans, "page 1")

	two := New(100, 60, "Second page", "")
	line(two.Tag(RoleH2, ""), 15, SerifBold, "The drill")
	row := two.Tag(RoleTable, "").Tag(RoleRow, "")
	line(row.Tag(RoleHead, ""), 30, SansBold, "distance")
	row.Tag(RoleCell, "").Text(Text{At: Pt{60, 30}, S: "1.42 ± 0.06 m", Font: Sans, Size: 4, Colour: ink})
	return Book{Title: "Lesson sheet", Language: "en-GB", Pages: []*Drawing{one, two}}
}

// stored writes a document to a file.
func stored(t *testing.T, k Book) string {
	t.Helper()
	var a, b bytes.Buffer
	if err := k.PDF(&a); err != nil {
		t.Fatal(err)
	}
	if err := k.PDF(&b); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Errorf("the same book twice gives two files, %v", err)
	}
	path := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(path, a.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// asked runs a program and returns what it says.
func asked(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		skip(t, name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Errorf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// The structure, as poppler reads it (pdfinfo -struct-text).
func TestATaggedDocumentIsReadInItsOrder(t *testing.T) {
	path := stored(t, leaflet())
	asked(t, "qpdf", "--check", path)
	info := asked(t, "pdfinfo", path)
	for _, want := range []string{"Tagged:          yes", "Title:           Lesson sheet", "Pages:           2"} {
		if !strings.Contains(info, want) {
			t.Errorf("pdfinfo does not say %q:\n%s", want, info)
		}
	}
	got := strings.Join(strings.Fields(asked(t, "pdfinfo", "-struct-text", path)), " ")
	want := `Document H1 "What to watch for " P "The hand starts before the foot, and the point has 24 cm less to travel. " ` +
		`L LI Lbl "1. " LBody "First question " LI Lbl "2. " LBody "Second question " ` +
		`Figure "square" H2 "The drill " Table TR TH: /Scope /Column "distance " TD "1.42 ± 0.06 m "`
	got = strings.NewReplacer("\u00a0", " ", " (block)", "").Replace(got)
	if got != want {
		t.Errorf("the structure reads\n%s\nand should read\n%s", got, want)
	}
	text := asked(t, "pdftotext", path, "-")
	at := 0
	for _, w := range []string{"What to watch for", "The hand starts", "First question", "Second question", "The drill", "distance"} {
		i := strings.Index(text[at:], w)
		if i < 0 {
			t.Fatalf("%q is not read, or too early, in\n%s", w, text)
		}
		at += i
	}
	if n := strings.Count(text, "square"); n != 1 {
		t.Errorf("a word with a halo is read %d times", n)
	}
}

// A sheet without roles is read as its finding, its description and its source line.
func TestASheetIsReadWithoutBeingTold(t *testing.T) {
	d := New(100, 60, "Left’s point has 24 cm less to travel", "Two lanes in true length.")
	d.Begin(FindingStretch, Box{})
	d.Text(Text{At: Pt{5, 10}, S: d.Title, Font: SerifBold, Size: 4, Colour: Hex(0)})
	d.Begin(SourceStretch, Box{})
	d.Text(Text{At: Pt{5, 55}, S: "Touch 8.", Font: Sans, Size: 3, Colour: Hex(0)})
	d.Begin(FigureStretch, Box{})
	d.Fill(Box{5, 20, 40, 10}.Path(), Hex(0x1b5fa6))
	path := stored(t, Book{Title: d.Title, Language: "en", Pages: []*Drawing{d}})
	asked(t, "qpdf", "--check", path)
	got := strings.ReplaceAll(strings.Join(strings.Fields(asked(t, "pdfinfo", "-struct", path)), " "), " (block)", "")
	if want := "Document H1 Figure Caption"; got != want {
		t.Errorf("the structure is %q, want %q", got, want)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(raw, []byte("/Alt "+pdfText("Two lanes in true length."))) {
		t.Error("nothing stands for the picture")
	}
}
