package web

import (
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"mesure/show/draw"
)

// The look of every page: the fonts and the colours of the printed matter, so
// that the list and the reports are one.

// fontPath is where the fonts are, each by its number in draw.Fonts.
const fontPath = "/font/"

// styleSheet returns the fonts and colours as CSS.
var styleSheet = sync.OnceValue(func() string {
	var b strings.Builder
	for i, f := range draw.Fonts() {
		fmt.Fprintf(&b, "@font-face{font-family:%q;font-style:%s;font-weight:%s;font-display:swap;src:url(%s%d.woff) format(\"woff\")}\n",
			f.Family(), f.Style(), f.Weight(), fontPath, i)
	}
	// The reader's system chooses between paper and night, unless the page says
	// data-light; the stage is always dark.
	paper, night := "color-scheme:light;"+colours(draw.Paper()), "color-scheme:dark;"+colours(draw.Night())
	fmt.Fprintf(&b, ":root{%s}\n@media (prefers-color-scheme:dark){:root:not([data-light=paper]){%s}}\n:root[data-light=night]{%s}\n.stage{color-scheme:dark;%s}\n",
		paper, night, night, colours(draw.Stage()))
	return b.String()
})

func colours(t draw.Theme) string {
	return fmt.Sprintf("--ground:%s;--raised:%s;--ink:%s;--quiet:%s;--rule:%s;--faint:%s;--brass:%s;--left:%s;--right:%s;--lamp-red:%s;--lamp-green:%s",
		t.Ground.CSS(), t.Raised.CSS(), t.Ink.CSS(), t.Quiet.CSS(), t.Rule.CSS(), t.Faint.CSS(), t.Brass.CSS(), t.Left.CSS(), t.Right.CSS(), t.LampRed.CSS(), t.LampGreen.CSS())
}

// look serves the style sheet.
func look(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	http.ServeContent(w, r, "", time.Time{}, strings.NewReader(styleSheet()))
}

// font serves one font.
func font(w http.ResponseWriter, r *http.Request) {
	for i, f := range draw.Fonts() {
		if r.PathValue("file") == fmt.Sprintf("%d.woff", i) {
			w.Header().Set("Content-Type", "font/woff")
			w.Header().Set("Cache-Control", "max-age=3600")
			http.ServeContent(w, r, "", time.Time{}, strings.NewReader(string(f.WOFF())))
			return
		}
	}
	http.NotFound(w, r)
}
