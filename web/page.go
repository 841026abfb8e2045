package web

import (
	_ "embed"
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"sync"
)

//go:embed page.html
var pageSource string

// page parses the template when the first page is asked for, so that a command
// line that serves nothing does not pay for it.
var page = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Parse(pageSource))
})

// listing is what the list page shows.
type listing struct {
	Touches    []Touch
	Breakdowns []breakdown
	// Trouble says why the touches cannot be listed; empty where they can.
	Trouble string
	// Fonts are fetched with the page, so that it does not change under the reader.
	Fonts []string
}

// listPage shows the touches of the library and the breakdowns in the folders.
func listPage(shelf Shelf, folders []string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		l := listing{Breakdowns: findBreakdowns(folders), Fonts: pageFonts()}
		touches, err := shelf.Touches(r.Context())
		if err != nil {
			l.Trouble = fmt.Sprintf("The library cannot be read: %v.", err)
		}
		l.Touches = touches
		var body strings.Builder
		if err := page().Execute(&body, l); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, body.String())
	}
}
