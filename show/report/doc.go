// Package report writes a reading as one page: report.html, which opens without
// a network, reads well on a phone and prints on A4.
//
// Most callers need two calls: Plates, which draws every picture of a reading,
// and Write, which sets them with the tables, the doubts and how everything was
// measured. Every number is one of the reading, printed by package plate with
// its doubt; nothing is measured here and nothing handed in is changed.
package report
