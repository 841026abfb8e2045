// Package chart draws the charts of a reading that stand on no frame. Race is
// the one that there is: whose point would arrive when.
//
// Lengths on a chart are to scale. Numbers, chances and times are those of the
// reading; the chart only turns metres and seconds into millimetres on paper.
// What is uncertain is drawn as a soft band or a hatch: the outer band holds
// 95 %, the inner one a standard deviation on each side.
package chart
