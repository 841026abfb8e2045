package main

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"mesure/study"
)

// bench is what every command works with: the terminal and the flags that all
// commands share.
type bench struct {
	*terminal
	// library is the value of --library, not yet resolved.
	library string
	// asJSON asks for the result as JSON.
	asJSON bool
}

// newRootCommand builds the whole command tree.
func newRootCommand(b *bench) *cobra.Command {
	root := &cobra.Command{
		Use:   "mesure",
		Short: "Take one épée touch apart: distances in metres, whose point arrives first, and how sure that is",
		Long: `Take one épée touch apart. From the video of a bout and the marks that you set
on it, mesure computes how far each point was from its target, in metres with ±,
whose point would have arrived first, and draws it.

Start with "mesure demo": it makes an invented bout and takes one touch apart.`,
		Version:       version(),
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return cmd.Help()
			}
			if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
				return misuseHint("Did you mean "+strings.Join(near, " or ")+"?", "there is no command %q", args[0])
			}
			return misuseHint(`"mesure --help" lists the commands.`, "there is no command %q", args[0])
		},
	}
	root.SuggestionsMinimumDistance = 2
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetVersionTemplate("mesure {{.Version}}\n")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return misuseHint(fmt.Sprintf("%q lists the flags.", cmd.CommandPath()+" --help"), "%s", flagWords(err))
	})
	root.SetHelpFunc(b.help)
	flags := root.PersistentFlags()
	flags.StringVar(&b.library, "library", "", "the library, else "+libraryVariable+", else the user's data folder")
	word(flags, "library", "DIR")
	flags.BoolVar(&b.asJSON, "json", false, "print the result as JSON")
	flags.BoolP("help", "h", false, "print this help")
	root.Flags().Bool("version", false, "print the version")

	cobra.EnableCommandSorting = false
	root.AddCommand(
		newDemoCommand(b),
		newAddCommand(b),
		newListCommand(b),
		newStillCommand(b),
		newPlaceCommand(b),
		newReadCommand(b),
		newFollowCommand(b),
		newTellCommand(b),
		newOpenCommand(b),
		newChanceCommand(b),
		newGameCommand(b),
		newBoutCommand(b),
		newDoctorCommand(b),
	)
	root.SetHelpCommand(newHelpCommand())
	return root
}

// flagWords says what is wrong with a flag: where, what, and what is wanted.
func flagWords(err error) string {
	var wrong *pflag.InvalidValueError
	var number *strconv.NumError
	if !errors.As(err, &wrong) || !errors.As(err, &number) {
		return err.Error()
	}
	flag, value := "--"+wrong.GetFlag().Name, wrong.GetValue()
	switch {
	case errors.Is(number, strconv.ErrRange):
		return fmt.Sprintf("%s: %s is too large", flag, value)
	case number.Func == "ParseFloat":
		return fmt.Sprintf("%s: %q is not a number", flag, value)
	case number.Func == "ParseBool":
		return fmt.Sprintf("%s: %q is neither true nor false", flag, value)
	}
	return fmt.Sprintf("%s: %q is not a whole number", flag, value)
}

// version names the build and the rules by which readings are computed.
func version() string {
	build := "development"
	if info, known := debug.ReadBuildInfo(); known && info.Main.Version != "" && info.Main.Version != "(devel)" {
		build = strings.TrimPrefix(info.Main.Version, "v")
	}
	return fmt.Sprintf("%s (readings version %s)", build, study.Version)
}

// show ends a command: the result as JSON where it is asked for, else as text.
func (b *bench) show(result any, text func()) error {
	if b.asJSON {
		return b.json(result)
	}
	text()
	return nil
}

// arguments wants exactly these, by name.
func arguments(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		usage := fmt.Sprintf("Write it so: %q.", strings.TrimSpace(cmd.CommandPath()+" "+strings.Join(names, " ")))
		switch {
		case len(args) < len(names):
			return misuseHint(usage, "%s is missing", names[len(args)])
		case len(args) > len(names):
			return misuseHint(usage, "%q is one argument too many", args[len(names)])
		}
		return nil
	}
}
