package draw

// Role is what a part of a page is to a reader who cannot see it. The names are the
// standard structure types of PDF 1.7 (ISO 32000-1, 14.8.4).
type Role string

// The roles. A page holds headings, paragraphs, lists, tables and figures; a Part, a
// Section or a Quote holds those. What no role was given to is decoration: it is drawn and
// not read.
const (
	RolePart    Role = "Part"
	RoleSection Role = "Sect"
	RoleH1      Role = "H1"
	RoleH2      Role = "H2"
	RoleH3      Role = "H3"
	RoleP       Role = "P"
	RoleQuote   Role = "BlockQuote"
	RoleList    Role = "L" // holds items
	RoleItem    Role = "LI"
	RoleLabel   Role = "Lbl"   // the number or bullet of an item
	RoleBody    Role = "LBody" // the words of an item
	RoleTable   Role = "Table" // holds rows
	RoleRow     Role = "TR"
	RoleHead    Role = "TH"
	RoleCell    Role = "TD"
	RoleFigure  Role = "Figure"
	RoleCaption Role = "Caption"
	RoleNote    Role = "Note"
)

// tag is what a group is to a reader.
type tag struct {
	role Role
	alt  string
}

// Tag returns a new group, drawn here, that has a role in the structure of a PDF; the
// other forms draw it as any group. It may hold tagged groups itself: a list its items. A
// figure must have alt, the words that stand for it; other roles leave it empty. The order
// of reading is the order of drawing. A figure is read as one: roles inside it count for
// nothing.
func (g *Group) Tag(r Role, alt string) *Group {
	if r == RoleFigure && alt == "" {
		panic("draw: a figure needs words that stand for it")
	}
	return g.sub(Group{tag: &tag{r, alt}})
}

// tagged says that there is a role in the group, not counting its own.
func (g *Group) tagged() bool {
	for _, it := range g.items {
		if sub, ok := it.(*Group); ok && (sub.tag != nil || sub.tagged()) {
			return true
		}
	}
	return false
}

// structured returns the drawing with roles: as it is where it has some, else its finding
// as a heading, its picture as a figure that its description stands for, and its source
// line as a caption. A drawing without these stretches is one figure.
func (d *Drawing) structured() *Drawing {
	if d.tagged() {
		return d
	}
	alt := d.Desc
	if alt == "" {
		alt = d.Title
	}
	out := *d
	out.items = nil
	if alt == "" {
		out.items = d.items // nothing is known of it: decoration
		return &out
	}
	var figure *Group
	at := 0
	more := func(to int) {
		if at < to {
			if figure == nil {
				figure = &Group{tag: &tag{RoleFigure, alt}}
				out.items = append(out.items, figure)
			}
			figure.items = append(figure.items, d.items[at:to]...)
			at = to
		}
	}
	var source *Group
	for _, s := range d.Stretches() {
		role := RoleH1
		switch s.Kind {
		case FindingStretch:
		case SourceStretch:
			role = RoleCaption
		default:
			continue
		}
		more(s.from)
		part := &Group{tag: &tag{role: role}, items: d.items[s.from:s.to]}
		if role == RoleCaption {
			source = part // it is read after the picture
		} else {
			out.items = append(out.items, part)
		}
		at = s.to
	}
	more(len(d.items))
	if source != nil {
		out.items = append(out.items, source)
	}
	return &out
}
