// Package strict reads JSON files that people write by hand: into a tree of values that
// know their place, so that everything wrong with a file can be told by where it stands,
// what is wrong and how to mend it.
//
// Most callers need Grow for the tree, and Problems to collect what the tree shows. What a
// file must hold is the business of its format: nothing here knows one. The standard
// decoder takes a field twice and any spelling of its name; Grow does not.
package strict
