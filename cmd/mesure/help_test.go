package main

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// helpOf returns the help text of a command as a terminal of 80 columns shows it.
func helpOf(t *testing.T, name string) string {
	t.Helper()
	var out strings.Builder
	root := newRootCommand(&bench{terminal: &terminal{out: &out, columns: 80}})
	args := []string{"--help"}
	if name != "" {
		args = []string{name, "--help"}
	}
	root.SetArgs(args)
	if err := root.Execute(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func commands() []*cobra.Command {
	return newRootCommand(&bench{terminal: &terminal{columns: 80}}).Commands()
}

func TestHelpFitsATerminal(t *testing.T) {
	names := []string{""}
	for _, c := range commands() {
		names = append(names, c.Name())
	}
	if len(names) < 9 {
		t.Fatalf("only %v", names)
	}
	for _, name := range names {
		for _, line := range strings.Split(helpOf(t, name), "\n") {
			if n := len([]rune(line)); n > 80 {
				t.Errorf("%s: %d columns: %q", name, n, line)
			}
		}
	}
}

func TestEveryCommandSaysItsExitCodes(t *testing.T) {
	n := 0
	for _, c := range commands() {
		if c.Hidden {
			continue
		}
		n++
		text := helpOf(t, c.Name())
		for _, want := range []string{"Usage:\n", "Flags of every command:\n", "Exit codes:\n", "    0  done\n", "    2  wrong use", "  130  interrupted"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the help lacks %q", c.Name(), want)
			}
		}
	}
	if n < 8 {
		t.Errorf("only %d commands were looked at", n)
	}
}
