package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"unicode"
	"unicode/utf8"

	"mesure/video"
)

func main() {
	video.RunChild() // does not return in a process that decodes for another
	t := newTerminal(os.Stdin, os.Stdout, os.Stderr)
	os.Exit(int(mesure(os.Args[1:], t)))
}

// mesure runs one command line to its end and returns the exit code. The first
// Ctrl-C asks the command to stop and clean up, the second ends the process.
func mesure(args []string, t *terminal) code {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)

	root := newRootCommand(&bench{terminal: t})
	root.SetArgs(args)
	root.SetIn(t.in)
	root.SetOut(t.out)
	root.SetErr(t.err)
	done, err := root.ExecuteContextC(ctx)
	if err == nil {
		err = t.unwritten()
	}
	if err == nil {
		return ok
	}
	if ctx.Err() != nil {
		err = context.Canceled
	}
	complain(t.err, done.CommandPath(), err)
	return codeOf(err)
}

// complain prints an error: one line that says where and what, and a second one
// that says how to mend it where somebody knows.
func complain(w io.Writer, command string, err error) {
	if isInterrupted(err) {
		fmt.Fprintf(w, "%s: interrupted; nothing half-written is left\n", command)
		return
	}
	line, hint := oneLine(err.Error()), oneLine(hintOf(err))
	if hint != "" {
		// Errors of other rooms end with their hint; here it has its own line.
		line = strings.TrimRight(strings.TrimSuffix(line, hint), " :;")
	}
	fmt.Fprintf(w, "%s: %s\n", command, line)
	if hint != "" {
		fmt.Fprintf(w, "  %s\n", sentence(hint))
	}
}

// sentence gives a hint its capital and its full stop.
func sentence(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(first)) + s[size:]
	if strings.ContainsRune(".?!", rune(s[len(s)-1])) {
		return s
	}
	return s + "."
}

// oneLine takes the line breaks out of a message of a foreign tool.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
