// Package web serves the desk: one library, shown and worked on in a browser. Most
// callers need two calls: New and Server.Serve.
//
// One file per noun holds its handlers, and each is the same three steps: parse, ask
// the shelf or the study, encode. Nothing about fencing is computed here: a number
// on a page is one that study computed and show printed, a picture one that show
// drew. openapi.json is written from the handlers, and the browser's client from it.
//
// A handler returns the error that it met; one table (problem.go) makes of it the
// status and the words for the person. What takes long is a job (jobs.go); what
// changed is told to every window (events.go). Requests that come from another page
// or call the server by another name are refused (guard.go).
package web
