// Package sheet writes the lesson sheet of one touch: one HTML file that opens without
// a network, and the same as PDF.
//
// Most callers need two calls: WriteHTML and WritePDF. Both set one and the same
// content: the finding, the parts of the script each with its plate and the numbers that
// carry it, what cannot be told, how it was measured, and the cautions. The version for
// the lesson begins with what to watch for and three questions, before anything is given
// away, and adds a drill for each finding.
//
// Nothing is measured here and nothing handed in is changed. Every measured number is
// one that package script or plate has printed. What a drill asks of a class that was not
// measured (how often, how fast, with which roles) is common practice of the trade, and
// the sheet says so.
//
// The frame of a PDF page is the paper: millimetres, y down. Equal input gives equal
// bytes.
package sheet
