package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// help prints the help of a command: what it does, how it is written, its
// commands or flags, examples and exit codes (which end its long text).
func (b *bench) help(cmd *cobra.Command, _ []string) {
	long := cmd.Long
	if long == "" {
		long = cmd.Short
	}
	about, exits, _ := strings.Cut(long, exitMarker)
	fmt.Fprintln(b.out, strings.TrimSpace(about))
	fmt.Fprintf(b.out, "\n%s\n", b.styled(bold, "Usage:"))
	if cmd.HasAvailableSubCommands() {
		fmt.Fprintf(b.out, "  %s COMMAND\n", cmd.CommandPath())
		fmt.Fprintf(b.out, "\n%s\n", b.styled(bold, "Commands:"))
		rows := b.table("", "~")
		for _, sub := range cmd.Commands() {
			if sub.IsAvailableCommand() {
				rows.row(sub.Name(), sub.Short)
			}
		}
		rows.write(b.out)
	} else {
		fmt.Fprintf(b.out, "  %s\n", cmd.UseLine())
	}
	if cmd.HasExample() {
		fmt.Fprintf(b.out, "\n%s\n%s\n", b.styled(bold, "Examples:"), strings.TrimRight(cmd.Example, "\n"))
	}
	b.flags("Flags:", cmd.LocalNonPersistentFlags())
	if cmd.HasParent() {
		b.flags("Flags of every command:", cmd.InheritedFlags())
	} else {
		b.flags("Flags of every command:", cmd.PersistentFlags())
	}
	if exits != "" {
		fmt.Fprintf(b.out, "\n%s\n%s\n", b.styled(bold, exitMarker), strings.Trim(exits, "\n"))
	}
}

// exitMarker starts the list of exit codes in a long text.
const exitMarker = "Exit codes:"

// flags prints one group of flags, wrapped to the terminal.
func (b *bench) flags(title string, set *pflag.FlagSet) {
	if !set.HasAvailableFlags() {
		return
	}
	fmt.Fprintf(b.out, "\n%s\n%s", b.styled(bold, title), set.FlagUsagesWrapped(b.columns))
}

// named gives the value of a flag the word that stands for it in the help.
type named struct {
	pflag.Value
	word string
}

// Type is that word.
func (n named) Type() string { return n.word }

// word sets it.
func word(set *pflag.FlagSet, flag, word string) {
	f := set.Lookup(flag)
	f.Value = named{f.Value, word}
}

// newHelpCommand lets "mesure help read" do what "mesure read --help" does.
func newHelpCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "help [COMMAND]",
		Short:  "Print the help of a command",
		Hidden: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			found, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return misuseHint(`"mesure --help" lists the commands.`, "there is no command %q", rest[0])
			}
			return found.Help()
		},
	}
}
