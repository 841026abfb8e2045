package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// choice is the value of a flag that takes one of a few words, kept in a value of a type
// of its own.
type choice[T ~string] struct {
	to    *T
	words []T
}

// addChoice adds a flag that takes one of some words; the value that to has is that of
// the flag where it is not given.
func addChoice[T ~string](set *pflag.FlagSet, to *T, name, about string, words ...T) {
	set.Var(&choice[T]{to, words}, name, about)
}

// String returns the value.
func (c *choice[T]) String() string {
	if c.to == nil {
		return ""
	}
	return string(*c.to)
}

// Set takes a value from the command line.
func (c *choice[T]) Set(s string) error {
	if !slices.Contains(c.words, T(s)) {
		var all []string
		for _, w := range c.words {
			all = append(all, string(w))
		}
		return fmt.Errorf("write %s", oneOf(all))
	}
	*c.to = T(s)
	return nil
}

// Type stands for the value in the help.
func (c *choice[T]) Type() string {
	var all []string
	for _, w := range c.words {
		all = append(all, string(w))
	}
	return strings.Join(all, "|")
}

// oneOf joins words as a sentence does: "a, b or c".
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// count is the value of a flag that takes one of a few whole numbers.
type count struct {
	to   *int
	some []int
}

func addCount(set *pflag.FlagSet, to *int, name, about string, some ...int) {
	set.Var(&count{to, some}, name, about)
}

// String returns the value; nothing where none was given.
func (c *count) String() string {
	if c.to == nil || *c.to == 0 {
		return ""
	}
	return strconv.Itoa(*c.to)
}

func (c *count) texts() (all []string) {
	for _, n := range c.some {
		all = append(all, strconv.Itoa(n))
	}
	return all
}

// Set takes a value from the command line.
func (c *count) Set(s string) error {
	n, err := strconv.Atoi(s)
	if err != nil || !slices.Contains(c.some, n) {
		return fmt.Errorf("write %s", oneOf(c.texts()))
	}
	*c.to = n
	return nil
}

// Type stands for the value in the help.
func (c *count) Type() string { return strings.Join(c.texts(), "|") }
