// Package storetest holds what every library must do: one suite, Exercise, that
// an engine passes or is not one, and a small engine in memory, Memory, for the
// tests of other rooms. Only tests import it.
//
// Most callers need one call: Memory, for a library that is gone after the test.
package storetest
