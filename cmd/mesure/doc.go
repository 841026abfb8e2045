// Command mesure takes one épée touch apart from the command line: a bout
// video and its marks in, a measured and illustrated reading out.
//
// main hands over to mesure, which the tests call as well. Every subcommand is
// one file with the same three parts: a constructor whose help names the exit
// codes, a struct of options, and a run function of plain values. What a
// command found is shown at its end, as text or as JSON. Errors become exit
// codes in one table (exit.go). Nothing about fencing is computed here: each
// number comes from study.
package main
