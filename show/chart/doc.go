// Package chart draws the charts of a reading that stand on no frame: whose point
// would arrive when (Race), how fast a point went (Motion), and of the timing of one
// instant which answers are open (Windows), who threatens whom from how far (Distance)
// and what a change would do (WhatIf); those of parry, feet, starts, fits and
// reliability say themselves what they show.
//
// Lengths on a chart are to scale. Numbers, chances and times are those of the
// reading; the chart only turns metres and seconds into millimetres on paper.
// What is uncertain is drawn as a soft band or a hatch: the outer band holds
// 95 %, the inner one a standard deviation on each side.
package chart
