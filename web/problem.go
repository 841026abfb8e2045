package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"mesure/show/clip"
	"mesure/show/script"
	"mesure/show/tell"
	"mesure/study"
)

// FaultKind says what an error of another room means at the desk.
type FaultKind int

// The kinds.
const (
	// FaultRefused: what was sent does not hold together.
	FaultRefused FaultKind = iota + 1
	// FaultVideo: a video cannot be read.
	FaultVideo
	// FaultSpace: the disk is full.
	FaultSpace
	// FaultReadOnly: nothing may be written there.
	FaultReadOnly
	// FaultDamaged: the library is damaged.
	FaultDamaged
)

// Fault is an error of a room that this one does not know.
type Fault struct {
	Kind FaultKind
	// What is wrong and how to Mend it; empty where the error says it all.
	What, Mend string
	// Problems are the single things that are wrong.
	Problems []Problem
}

// Problem is one thing that is wrong with what was sent.
type Problem struct {
	// Pointer is the place as a JSON pointer (RFC 6901).
	Pointer string
	// Text says what is wrong and how to mend it.
	Text string
}

// problem is an answer that says what happened, what is safe and what to do
// (RFC 9457). Where a document was changed elsewhere it carries the current state.
type problem struct {
	huma.ErrorModel
	Bout  *BoutPaper  `json:"bout,omitempty"`
	Touch *TouchPaper `json:"touch,omitempty"`
}

// init has the interface's own refusals say what to do as well.
func init() {
	said := huma.NewError
	huma.NewError = func(status int, msg string, errs ...error) huma.StatusError {
		told := map[int]string{
			http.StatusBadRequest:            "This request cannot be read. Nothing was changed; load the page again.",
			http.StatusRequestTimeout:        "This request came too slowly. Nothing was changed; try again.",
			http.StatusRequestEntityTooLarge: fmt.Sprintf("This is too large to be taken in: more than %s. Nothing was changed.", bytesOf(bodyLimit)),
			http.StatusUnsupportedMediaType:  "This request is not in the form that Mesure reads (application/json). Nothing was changed.",
			http.StatusUnprocessableEntity:   "What was sent does not have the form that Mesure reads. Nothing was changed; load the page again.",
		}[status]
		if told == "" {
			told = msg
		}
		return said(status, told, errs...)
	}
}

// row is one line of the table from errors to answers.
type row struct {
	is     func(error) bool
	status int
	// told is what the person reads; %s is the error.
	told string
}

// Errors of this room.
var (
	// errBusy: too much of one kind of work waits already.
	errBusy = errors.New("too much waits already")
	// errClosing: the server ends.
	errClosing = errors.New("the server is ending")
)

// tooLarge is an upload or a body beyond the limit.
type tooLarge struct{ limit int64 }

func (e *tooLarge) Error() string { return fmt.Sprintf("more than %s", bytesOf(e.limit)) }

// damaged is a document that the papers do not read back: it was whole when it was
// stored.
type damaged struct{ err error }

func (e *damaged) Error() string { return e.err.Error() }
func (e *damaged) Unwrap() error { return e.err }

// stored marks an error of the papers as one of what is stored, not of what was sent.
func (s *Server) stored(err error) error {
	if f, ok := s.explain(err); ok && f.Kind == FaultRefused {
		return &damaged{err}
	}
	return err
}

// unfit is a request that makes no sense, in words for the person.
type unfit struct{ what string }

func (e *unfit) Error() string { return e.what }

// table is the one table from errors to answers; the first row that knows an error
// answers.
func (s *Server) table() []row {
	is := func(some ...error) func(error) bool {
		return func(err error) bool {
			for _, e := range some {
				if errors.Is(err, e) {
					return true
				}
			}
			return false
		}
	}
	fault := func(k FaultKind) func(error) bool {
		return func(err error) bool { f, ok := s.explain(err); return ok && f.Kind == k }
	}
	return []row{
		{is(errClosing), http.StatusServiceUnavailable, "Mesure is ending. What was acknowledged is safe; start it again and repeat this step."},
		{is(context.Canceled), 499, "This was cancelled; nothing was changed."},
		{is(context.DeadlineExceeded), http.StatusServiceUnavailable, "This took too long and was given up; nothing was changed. Try again."},
		{is(errBusy), http.StatusTooManyRequests, "Too much of this waits already; nothing was changed. Try again in a moment."},
		{is(study.ErrConflict), http.StatusConflict, "This was changed in another window since it was read. Nothing was overwritten; look at the other state and choose."},
		{is(study.ErrNoStep), http.StatusConflict, "There is no further step in this direction. Nothing was changed."},
		{is(study.ErrExists), http.StatusConflict, "There is one of this name already. Nothing was changed."},
		{is(study.ErrNotFound), http.StatusNotFound, "This is not in the library, or no longer. The rest is as it was; go back to the list."},
		{as[*tooLarge], http.StatusRequestEntityTooLarge, "This is too large to be taken in: %s. Nothing was changed."},
		{as[*unfit], http.StatusUnprocessableEntity, "%s"},
		{fault(FaultSpace), http.StatusInsufficientStorage, "The disk that holds the library is full. What was acknowledged is safe, this was not stored. Free some space and repeat it."},
		{fault(FaultReadOnly), http.StatusInsufficientStorage, "Nothing can be written where the library lies. What was acknowledged is safe, this was not stored. Give leave to write there and repeat it."},
		{fault(FaultDamaged), http.StatusInternalServerError, "The library is damaged: %s. Nothing was changed; close Mesure and run \"mesure doctor\"."},
		{as[*damaged], http.StatusInternalServerError, "This document of the library does not read: %s. Nothing was changed; step back with undo, or close Mesure and run \"mesure doctor\"."},
		{fault(FaultVideo), http.StatusUnprocessableEntity, "%s. Everything else is as it was."},
		{fault(FaultRefused), http.StatusUnprocessableEntity, "This state cannot be kept; what was stored before is as it was."},
		{as[*study.Refusal], http.StatusUnprocessableEntity, "%s"},
	}
}

// as reports whether there is an error of this type in the chain.
func as[E error](err error) bool { var e E; return errors.As(err, &e) }

// explain asks what an error of another room means. Those of show are known here.
func (s *Server) explain(err error) (Fault, bool) {
	if f, ok := untold(err); ok {
		return f, true
	}
	if s.c.Explain == nil || err == nil {
		return Fault{}, false
	}
	return s.c.Explain(err)
}

// untold says what is wrong with a telling that was sent or stored.
func untold(err error) (Fault, bool) {
	f := Fault{Kind: FaultRefused}
	var file *tell.Error
	var option *script.Refusal
	var shot *clip.Trouble
	switch {
	case errors.As(err, &file):
		for _, p := range file.Problems {
			f.Problems = append(f.Problems, Problem{p.Pointer, p.Text})
		}
	case errors.As(err, &option):
		f.Problems = []Problem{{"/script/" + option.At, option.What + ". " + option.Mend}}
	case errors.As(err, &shot):
		f.Problems = []Problem{{"/board", shot.Error()}}
	default:
		return f, false
	}
	return f, true
}

// problem turns an error into the answer for the person; nil stays nil.
func (s *Server) problem(err error) error {
	var done huma.StatusError
	if err == nil || errors.As(err, &done) {
		return err
	}
	f, _ := s.explain(err)
	text := err.Error()
	if f.What != "" {
		text = f.What
		if f.Mend != "" {
			text += "; " + f.Mend
		}
	}
	for _, r := range s.table() {
		if !r.is(err) {
			continue
		}
		told := r.told
		if strings.Contains(told, "%s") {
			told = fmt.Sprintf(told, strings.TrimSuffix(text, "."))
		}
		p := &problem{ErrorModel: huma.ErrorModel{Status: r.status, Title: http.StatusText(r.status), Detail: sentence(told)}}
		for _, one := range f.Problems {
			p.Errors = append(p.Errors, &huma.ErrorDetail{Message: one.Text, Location: one.Pointer})
		}
		var refusal *study.Refusal
		if len(p.Errors) == 0 && errors.As(err, &refusal) && r.status == http.StatusUnprocessableEntity {
			p.Detail = sentence("This cannot be done; nothing was changed")
			p.Errors = []*huma.ErrorDetail{{Message: refusalText(refusal), Location: refusal.At}}
		}
		return p
	}
	slog.Error("web", "error", err)
	return &problem{ErrorModel: huma.ErrorModel{Status: http.StatusInternalServerError, Title: http.StatusText(http.StatusInternalServerError),
		Detail: "A fault of Mesure itself. What was acknowledged is safe. Repeat this step; if it happens again, report it with this line: " + err.Error()}}
}

// refusalText is a refusal without its place, which stands beside it.
func refusalText(r *study.Refusal) string {
	if r.Mend == "" {
		return r.What
	}
	return r.What + ": " + r.Mend
}

// words is what the person reads of an error, on one line.
func (s *Server) words(err error) string {
	var p *problem
	if e := s.problem(err); errors.As(e, &p) {
		all := []string{p.Detail}
		for _, d := range p.Errors {
			all = append(all, d.Message)
		}
		return strings.Join(all, " ")
	}
	return err.Error()
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

// fail answers a plain handler's request with an error.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	e := s.problem(err)
	var status huma.StatusError
	if !errors.As(e, &status) {
		return
	}
	w.Header().Del("Content-Length")
	w.Header().Set("Content-Type", "application/problem+json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status.GetStatus())
	json.NewEncoder(w).Encode(status)
}

// write answers a plain handler's request with JSON.
func write(w http.ResponseWriter, answer any) {
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(answer)
}

// bytesOf prints a number of bytes.
func bytesOf(n int64) string {
	units := []string{"bytes", "kB", "MB", "GB"}
	f, i := float64(n), 0
	for f >= 1000 && i < len(units)-1 {
		f, i = f/1000, i+1
	}
	return fmt.Sprintf("%.3g %s", f, units[i])
}
