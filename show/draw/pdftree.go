package draw

import (
	"fmt"
	"strings"
)

// pdfTree is the structure of a tagged PDF (ISO 32000-1, 14.7): what each part of each
// page is, in the order of reading.
type pdfTree struct {
	file     *pdfFile
	root     int
	document *element
	// pages has for each page the element that each of its marked sequences belongs to.
	pages [][]*element
}

// element is one part of the document.
type element struct {
	tag    tag
	object int
	above  *element
	kids   []kid
}

// kid is an element below, or a marked sequence on a page.
type kid struct {
	element    *element
	mcid, page int
}

func newPdfTree(p *pdfFile) *pdfTree {
	t := &pdfTree{file: p, root: p.reserve()}
	t.document = &element{tag: tag{role: "Document"}, object: p.reserve()}
	return t
}

func (t *pdfTree) add(above *element, what tag) *element {
	e := &element{tag: what, object: t.file.reserve(), above: above}
	above.kids = append(above.kids, kid{element: e})
	return e
}

// write writes the elements and returns the object of the root.
func (t *pdfTree) write() int {
	t.element(t.document, t.root)
	var nums strings.Builder
	for i, owners := range t.pages {
		var refs []string
		for _, e := range owners {
			refs = append(refs, fmt.Sprintf("%d 0 R", e.object))
		}
		fmt.Fprintf(&nums, "%d [%s] ", i, strings.Join(refs, " "))
	}
	parents := t.file.add(fmt.Sprintf("<< /Nums [%s] >>", strings.TrimSpace(nums.String())))
	t.file.set(t.root, fmt.Sprintf("<< /Type /StructTreeRoot /K %d 0 R /ParentTree %d 0 R /ParentTreeNextKey %d >>", t.document.object, parents, len(t.pages)))
	return t.root
}

func (t *pdfTree) element(e *element, above int) {
	var kids []string
	for _, k := range e.kids {
		if k.element != nil {
			t.element(k.element, e.object)
			kids = append(kids, fmt.Sprintf("%d 0 R", k.element.object))
			continue
		}
		kids = append(kids, fmt.Sprintf("<< /Type /MCR /Pg %d 0 R /MCID %d >>", k.page, k.mcid))
	}
	body := fmt.Sprintf("<< /Type /StructElem /S /%s /P %d 0 R", e.tag.role, above)
	if e.tag.alt != "" {
		body += " /Alt " + pdfText(e.tag.alt)
	}
	if e.tag.role == RoleHead {
		body += " /A << /O /Table /Scope /Column >>"
	}
	t.file.set(e.object, body+fmt.Sprintf(" /K [%s] >>", strings.Join(kids, " ")))
}

// xmp is the title and the language as metadata (ISO 16684-1), for readers that do not
// look into the old dictionary.
func (k Book) xmp() []byte {
	return fmt.Appendf(nil, "<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"+
		"<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"+
		"<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\">\n"+
		"<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li></rdf:Alt></dc:title>\n"+
		"<dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>\n<pdf:Producer>Mesure</pdf:Producer>\n"+
		"</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>", xmlClean(k.Title), xmlClean(k.Language))
}
