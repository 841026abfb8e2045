package draw

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"strings"
	"unicode/utf16"
)

// PDF writes the drawing as a PDF file of one page.
func (d *Drawing) PDF(w io.Writer) error { return PDF(w, d.Title, d) }

// PDF writes drawings in English as the pages of one PDF file, as Book does.
func PDF(w io.Writer, title string, pages ...*Drawing) error {
	return Book{Title: title, Language: "en", Pages: pages}.PDF(w)
}

// Book is a document of several pages.
type Book struct {
	Title string
	// Language is a tag such as "en" (RFC 5646).
	Language string
	Pages    []*Drawing
}

// PDF writes the book as one PDF file (version 1.7). Text stays text, in embedded fonts,
// and can be copied. The file is tagged: what Group.Tag said of its parts, in the order
// drawn, and for a page without roles its finding, its description and its source line.
// It carries no date, and its identifier is a hash of its content, so that equal drawings
// give equal files. It panics where there is no page.
func (k Book) PDF(w io.Writer) error {
	pages := k.Pages
	if len(pages) == 0 {
		panic("draw: a PDF needs a page")
	}
	p := &pdfFile{fonts: map[Font]*pdfFont{}}
	catalog, tree := p.reserve(), p.reserve()
	roots := newPdfTree(p)
	var kids []string
	for i, d := range pages {
		n := p.reserve()
		page := &pdfPage{file: p, tree: roots, elem: roots.document, object: n}
		content, err := page.content(d.structured())
		if err != nil {
			return err
		}
		roots.pages = append(roots.pages, page.owners)
		stream := p.stream("", content, true)
		p.set(n, fmt.Sprintf("<< /Type /Page /Parent %d 0 R /MediaBox [0 0 %s %s] /Contents %d 0 R /Resources %s /StructParents %d /Tabs /S >>",
			tree, num(float64(d.W/Points(1))), num(float64(d.H/Points(1))), stream, page.resources(), i))
		kids = append(kids, fmt.Sprintf("%d 0 R", n))
	}
	structure := roots.write()
	for _, f := range Fonts() {
		if pf := p.fonts[f]; pf != nil {
			p.writeFont(f, pf)
		}
	}
	p.set(tree, fmt.Sprintf("<< /Type /Pages /Kids [%s] /Count %d >>", strings.Join(kids, " "), len(kids)))
	meta := p.stream(" /Type /Metadata /Subtype /XML", k.xmp(), false)
	p.set(catalog, fmt.Sprintf("<< /Type /Catalog /Pages %d 0 R /Lang %s /MarkInfo << /Marked true >> /StructTreeRoot %d 0 R /Metadata %d 0 R /ViewerPreferences << /DisplayDocTitle true >> >>",
		tree, pdfText(k.Language), structure, meta))
	info := p.add("<< /Title " + pdfText(k.Title) + " /Producer (Mesure) >>")
	return p.write(w, catalog, info)
}

// pdfFile is the list of objects; object n stands at n−1.
type pdfFile struct {
	objects [][]byte
	fonts   map[Font]*pdfFont
}

func (p *pdfFile) reserve() int {
	p.objects = append(p.objects, nil)
	return len(p.objects)
}

func (p *pdfFile) set(n int, body string) { p.objects[n-1] = []byte(body) }

func (p *pdfFile) add(body string) int {
	n := p.reserve()
	p.set(n, body)
	return n
}

// stream adds a stream with further entries of its dictionary.
func (p *pdfFile) stream(entries string, data []byte, deflate bool) int {
	if deflate {
		var b bytes.Buffer
		z := zlib.NewWriter(&b)
		z.Write(data)
		z.Close()
		data = b.Bytes()
		entries += " /Filter /FlateDecode"
	}
	n := p.reserve()
	body := fmt.Appendf(nil, "<<%s /Length %d >>\nstream\n", entries, len(data))
	p.objects[n-1] = append(append(body, data...), "\nendstream"...)
	return n
}

func (p *pdfFile) write(w io.Writer, catalog, info int) error {
	var b bytes.Buffer
	b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	at := make([]int, len(p.objects))
	for i, o := range p.objects {
		at[i] = b.Len()
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	id := sha256.Sum256(b.Bytes())
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, n := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", n)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<%x> <%x>] >>\nstartxref\n%d\n%%%%EOF\n",
		len(at)+1, catalog, info, id[:16], id[:16], start)
	_, err := w.Write(b.Bytes())
	return err
}

// pdfText writes a text string in UTF-16 with its byte order mark.
func pdfText(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String() + ">"
}

// addPicture stores an image and returns its object.
func (p *pdfFile) addPicture(pic Picture) (int, error) {
	b := pic.Image.Bounds()
	head := fmt.Sprintf(" /Type /XObject /Subtype /Image /Width %d /Height %d /BitsPerComponent 8", b.Dx(), b.Dy())
	if pic.Photo {
		// A JPEG of a grey image has one component; the frame is copied into
		// colour so that there are always three.
		rgb := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
		for y := range b.Dy() {
			for x := range b.Dx() {
				rgb.Set(x, y, pic.Image.At(b.Min.X+x, b.Min.Y+y))
			}
		}
		var data bytes.Buffer
		if err := jpeg.Encode(&data, rgb, &jpeg.Options{Quality: photoQuality}); err != nil {
			return 0, fmt.Errorf("draw: a picture could not be stored: %w", err)
		}
		return p.stream(head+" /ColorSpace /DeviceRGB /Filter /DCTDecode", data.Bytes(), false), nil
	}
	rgb := make([]byte, 0, 3*b.Dx()*b.Dy())
	alpha := make([]byte, 0, b.Dx()*b.Dy())
	clear := false
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			c := color.NRGBAModel.Convert(pic.Image.At(x, y)).(color.NRGBA)
			rgb = append(rgb, c.R, c.G, c.B)
			alpha = append(alpha, c.A)
			clear = clear || c.A < 255
		}
	}
	if clear {
		head += fmt.Sprintf(" /SMask %d 0 R", p.stream(head+" /ColorSpace /DeviceGray", alpha, true))
	}
	return p.stream(head+" /ColorSpace /DeviceRGB", rgb, true), nil
}
