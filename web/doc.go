// Package web serves what the library and the breakdown folders hold to a
// browser on the same machine. Most callers need one call: Handler.
//
// It computes nothing about fencing: a page shows what study computed and show
// drew. Only reading is offered. Requests that name another host are refused,
// so that a page from elsewhere cannot read the library through the browser.
package web
