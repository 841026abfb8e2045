package report

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// Options say how a report is written. The zero value has names in it.
type Options struct {
	// HideNames leaves the names of fencers, clubs and events out: Anonymous in short.
	HideNames bool
	// Names is how fencers are called.
	Names plate.Naming
	// Program names what wrote the report, such as "Mesure 0.1.0".
	Program string
}

// naming is how fencers are called.
func (o Options) naming() plate.Naming {
	if o.HideNames {
		return plate.Anonymous
	}
	return o.Names
}

//go:embed page.html
var pageText string

//go:embed timing.html
var timingText string

//go:embed tactics.html
var tacticsText string

//go:embed page.css
var pageStyle string

var page = template.Must(template.Must(template.Must(template.New("page").Funcs(template.FuncMap{
	"shape": shape, "capital": capital, "typeset": plate.Typeset, "sentence": sentenceOf, "action": plate.ActionWords, "target": plate.TargetWords,
	"answer": func(name string) string { return "“" + plate.AnswerWords(timing.Answer(name)) + "”" },
}).Parse(pageText)).Parse(timingText)).Parse(tacticsText))

// Write writes the report of a reading with these plates as one HTML file that
// needs nothing outside itself. Equal input gives equal bytes. It returns the
// error of the writer or of a picture that cannot be stored, and panics without
// a reading of a touch.
func Write(w io.Writer, r *study.Reading, o Options, plates ...Plate) error {
	if r == nil || r.Touch == nil {
		panic("report: a report needs a reading of a touch")
	}
	v, err := newSheet(r, o, plates)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := page.Execute(&b, v); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

// shape is the mark of a fencer in a line of text.
func shape(s mark.Side) template.HTML {
	if s == mark.Left {
		return `<svg class="mark left" viewBox="0 0 10 10" aria-hidden="true"><rect x=".6" y=".6" width="8.8" height="8.8"/></svg>`
	}
	return `<svg class="mark right" viewBox="0 0 10 10" aria-hidden="true"><circle cx="5" cy="5" r="5"/></svg>`
}

// pictures sets a plate with all its forms, of which the style sheet shows one. Its
// words are text in the fonts of the page: searched, read aloud, and several times
// shorter than outlines.
func pictures(p Plate) (template.HTML, error) {
	var b strings.Builder
	b.WriteString(`<figure class="pic ` + string(p.Kind) + `">` + "\n")
	for _, f := range []struct {
		d     *draw.Drawing
		class string
	}{
		{p.Wide, "wide day"}, {p.Phone, "phone day"}, {p.WideNight, "wide night"}, {p.PhoneNight, "phone night"},
	} {
		if f.d == nil {
			continue
		}
		class := f.class
		if p.WideNight == nil {
			class = strings.TrimSuffix(class, " day") // the same by day and night
		}
		if p.Phone == nil {
			class = strings.TrimPrefix(class, "wide ")
		}
		if err := f.d.PageSVG(&b, class); err != nil {
			return "", err
		}
	}
	b.WriteString("</figure>\n")
	return template.HTML(b.String()), nil
}

// style is the style sheet with the palette and the fonts of the pen.
func style() template.CSS {
	var b strings.Builder
	for _, f := range []draw.Font{draw.Serif, draw.SerifBold, draw.Sans, draw.SansBold} {
		fmt.Fprintf(&b, "@font-face{font-family:%q;font-style:%s;font-weight:%s;font-display:swap;src:url(data:font/woff;base64,%s) format(\"woff\")}\n",
			f.Family(), f.Style(), f.Weight(), base64.StdEncoding.EncodeToString(f.WOFF()))
	}
	fmt.Fprintf(&b, ":root{%s}\n", palette(draw.Paper()))
	fmt.Fprintf(&b, "@media screen and (prefers-color-scheme:dark){:root{%s}}\n", palette(draw.Night()))
	b.WriteString(pageStyle)
	return template.CSS(b.String())
}

func palette(t draw.Theme) string {
	var b strings.Builder
	for _, c := range []struct {
		name string
		c    draw.Colour
	}{
		{"ground", t.Ground}, {"raised", t.Raised}, {"ink", t.Ink}, {"quiet", t.Quiet}, {"rule", t.Rule}, {"faint", t.Faint},
		{"brass", t.Brass}, {"left", t.Left}, {"right", t.Right}, {"lamp-red", t.LampRed}, {"lamp-green", t.LampGreen},
	} {
		fmt.Fprintf(&b, "--%s:%s;", c.name, c.c.CSS())
	}
	return b.String()
}

// capital makes the first letter of a sentence a capital and takes its full
// stop off.
func capital(s string) string {
	return strings.TrimSuffix(plate.Sentences(strings.TrimSuffix(s, ".")), ".")
}
