//go:build !unix

package web

import "testing"

func devices(*testing.T, string) []string { return nil }
