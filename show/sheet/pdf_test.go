package sheet

import (
	"bytes"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/report"
	"mesure/sport/mark"
)

// tool skips where a program is not there.
func tool(t *testing.T, name string) {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s IS NOT INSTALLED: this check of the PDF was left out", name)
	}
}

// stored is a lesson sheet with two charts and one photograph of 1920 pixels, as a file.
func stored(t *testing.T, paper Paper) string {
	t.Helper()
	r := told(t)
	ps := []report.Plate{chartPlate(report.KindRace, "The race finds this"), chartPlate(report.KindThread, "The thread finds this"), photoPlate(r.Race.Take, r.Race.Frame)}
	var b bytes.Buffer
	if err := WritePDF(&b, r, nil, ps, Options{Lesson: true, Paper: paper}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func chartPlate(kind report.Kind, finding string) report.Plate {
	d := draw.New(180, 120, finding, "A picture of "+string(kind)+".")
	d.Text(draw.Text{At: draw.Pt{X: 20, Y: 60}, S: "inside " + string(kind), Font: draw.Sans, Size: 4, Colour: draw.Hex(0)})
	return report.Plate{Kind: kind, Wide: d}
}

func photoPlate(take string, f mark.Frame) report.Plate {
	d := draw.New(180, 110, "The photograph finds this", "A frame.")
	d.Place(draw.Picture{Image: image.NewRGBA(image.Rect(0, 0, 1920, 1080)), Photo: true}, draw.Box{X: 10, Y: 5, W: 160, H: 90})
	return report.Plate{Kind: report.KindGaps, Take: take, Frame: f, Wide: d}
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	tool(t, name)
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// TestThePDFIsSound by other programs: qpdf finds nothing wrong, poppler finds it tagged, of
// the size of its paper (ISO 216; ANSI/ASME Y14.1) and with every font embedded, and no
// photograph is finer than 200 dots an inch.
func TestThePDFIsSound(t *testing.T) {
	for paper, size := range map[Paper]string{A4: "595.276 x 841.89", Letter: "612 x 792"} {
		file := stored(t, paper)
		run(t, "qpdf", "--check", file)
		info := run(t, "pdfinfo", file)
		for _, want := range []string{size, "extension into the preparation"} {
			if !strings.Contains(info, want) {
				t.Errorf("%s: pdfinfo lacks %q:\n%s", paper, want, info)
			}
		}
		if !regexp.MustCompile(`Tagged: +yes`).MatchString(info) {
			t.Errorf("%s: the PDF is not tagged", paper)
		}
		for _, l := range strings.Split(strings.TrimSpace(run(t, "pdffonts", file)), "\n")[2:] {
			if f := strings.Fields(l); len(f) < 5 || f[len(f)-5] != "yes" {
				t.Errorf("%s: a font is not embedded: %s", paper, l)
			}
		}
		n := 0
		for _, l := range strings.Split(strings.TrimSpace(run(t, "pdfimages", "-list", file)), "\n")[2:] {
			f := strings.Fields(l)
			if ppi, err := strconv.Atoi(f[12]); err != nil || ppi > mostDots+1 || ppi < mostDots/2 {
				t.Errorf("%s: a photograph of %s dots an inch", paper, f[12])
			}
			n++
		}
		if n != 1 {
			t.Errorf("%s: %d photographs", paper, n)
		}
	}
}

// TestThePDFReadsInOrder: pdftotext gives the headings as the document has them, the
// questions before every answer, and pdfinfo the structure with words for each figure.
func TestThePDFReadsInOrder(t *testing.T) {
	file := stored(t, A4)
	text := strings.ReplaceAll(run(t, "pdftotext", "-raw", file, "-"), "\u00a0", " ")
	at := 0
	for _, want := range []string{"The extension into the preparation", "What to watch for", "Three questions for the class", "What was found", "Opening", "Technique", "Tactics", "Timing", "Take-away",
		"The drills", "Full regulation kit", "1. A smaller parry", "The answers", "The numbers", "What this sheet cannot tell", "How it was measured", "Rights and cautions"} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("after %q there is no %q:\n%s", text[max(0, at-30):at], want, text)
		}
		at += i
	}
	if i := strings.Index(text, "83 ± 1 %"); i < strings.Index(text, "What was found") {
		t.Error("the finding stands before the questions")
	}
	for _, want := range []string{"1 of ", "inside race", "inside thread"} {
		if !strings.Contains(text, want) {
			t.Errorf("the PDF lacks %q", want)
		}
	}
	tree := run(t, "pdfinfo", "-struct", file)
	for _, want := range []string{"Document", "H1", "H2", "H3", "Figure", "Caption", "Table", "LBody", "TH"} {
		if !strings.Contains(tree, want) {
			t.Errorf("the structure lacks %s", want)
		}
	}
}

// TestPagesAreFilledWell: a heading stays with what it heads, a plate without room goes to
// the next page and lets text go before it, a paragraph leaves no line alone, the head of
// a table comes again.
func TestPagesAreFilledWell(t *testing.T) {
	f := &flow{paper: [2]draw.MM{210, 297}, theme: draw.Print()}
	var set []string
	one := func(name string, high draw.MM) slab {
		return slab{height: high, draw: func(_, _ *draw.Group, _, y draw.MM) {
			set = append(set, name+" p"+strconv.Itoa(len(f.pages)))
			if y < pageTop || y+high > 297-pageBottom+0.01 {
				t.Errorf("%s lies off its page, at %v", name, y)
			}
		}}
	}
	plate := one("plate", 150)
	plate.float, plate.keep = true, true
	heading := one("heading", 10)
	heading.keep = true
	head := one("head again", 5)
	row := one("row", 30)
	row.head = &head
	f.slabs = []slab{one("text", 200), plate, one("caption", 5), one("text", 40), heading, one("text", 100), one("text", 6), row}
	f.paginate()
	want := "text p1,text p1,plate p2,caption p2,heading p3,text p3,text p3,row p3"
	if got := strings.Join(set, ","); got != want {
		t.Errorf("the pages are %s, not %s", got, want)
	}
	set, f.slabs, f.pages = nil, []slab{one("text", 250), row}, nil
	f.paginate()
	if got := strings.Join(set, ","); got != "text p1,head again p2,row p2" {
		t.Errorf("a table goes on as %s", got)
	}
	f.slabs, f.pages = nil, nil
	f.paragraph(words(strings.Repeat("word ", 100)), draw.Serif, sizeText, f.theme.Ink, 0, draw.RoleP)
	if n := len(f.slabs); n < 3 || !f.slabs[0].keep || !f.slabs[n-2].keep || f.slabs[n-1].keep {
		t.Error("a line of a paragraph may stand alone")
	}
}

// TestLinesStayWithinTheText, however long a word is.
func TestLinesStayWithinTheText(t *testing.T) {
	l := line{{Text: "A name of "}, {Text: strings.Repeat("Wm", 150), Name: true}, {Text: " and "}, {Text: "0.92 ± 0.05 m", Ref: "x"}, {Text: "."}}
	all := wrapped(l, serif, sizeText, 60)
	whole := ""
	for _, bits := range all {
		w := draw.MM(0)
		for _, b := range bits {
			w += wide(b.s, draw.Serif, sizeText)
			whole += b.s
		}
		if w > 60.01 {
			t.Errorf("a line is %v wide", w)
		}
		whole += "|"
	}
	if len(all) < 10 || !strings.Contains(whole, "0.92\u00a0±\u00a00.05\u00a0m.") {
		t.Errorf("the lines are %s", whole)
	}
}

// TestNamesOfEveryScript: the HTML keeps them as they are written, apart from what stands
// about them; a PDF, whose fonts lack them, has the side and says so.
func TestNamesOfEveryScript(t *testing.T) {
	r := told(t)
	r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name = "נועה לוי", "佐藤 花子"
	r.Touch.Title = "The stop hit 🤺"
	r.Tactics = nil
	page := html1(t, r, Options{Lesson: true})
	for _, n := range []string{"<bdi>נועה לוי</bdi>", "<bdi>佐藤 花子</bdi>", "<bdi>לוי</bdi>’s point", "The stop hit 🤺"} {
		if !strings.Contains(page, n) {
			t.Errorf("the HTML lacks %s", n)
		}
	}
	m, err := newMaker(r, nil, nil, Options{Lesson: true})
	if err != nil {
		t.Fatal(err)
	}
	d := m.document().settable()
	var all []string
	d.each(func(l line) line { all = append(all, l.String()); return l })
	text := strings.Join(all, "\n")
	if bad := draw.Lacks(text, draw.Serif); len(bad) > 0 {
		t.Errorf("the PDF has letters that its fonts lack: %q", string(bad))
	}
	if !strings.Contains(text, "Left’s point is") || !strings.Contains(text, "Letters that the fonts of this file lack") || d.Title != "The stop hit" {
		t.Errorf("the PDF does not call the fencer by the side, or does not say so: %q", d.Title)
	}
}
