// Package draw is the one pen of Mesure: every plate, chart and sheet is one
// Drawing, written as SVG, PNG or PDF.
//
// Most callers need four calls: New, then Fill, Stroke and Text on the
// drawing's group, then SVG.
//
// The frame is the paper: millimetres, x to the right and y down, with the
// origin at the top left corner. Angles do not occur except in Turn, in degrees
// clockwise. The package knows nothing of fencing and imports no other package
// of Mesure. A drawing is written without being changed, and equal drawings give
// equal bytes, in one process and across runs: nothing here depends on the
// order of a map, the time or chance.
//
// Text is set in the two embedded families (see fonts/): in SVG and PNG as
// outlines, so that it looks the same on every machine, in PDF as text that can
// be searched and copied. In SVG every line of text carries its words in a desc
// element.
package draw
