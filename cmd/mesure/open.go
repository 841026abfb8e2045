package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"strconv"
	"syscall"

	"github.com/spf13/cobra"

	"mesure/web"
)

// defaultPort is where "mesure open" listens; any free port would do.
const defaultPort = 8420

// openOptions are the values that "mesure open" works with.
type openOptions struct {
	// Port on 127.0.0.1; 0 takes any free one.
	Port int
	// Folders hold breakdowns, or are breakdowns themselves.
	Folders []string
}

func newOpenCommand(b *bench) *cobra.Command {
	o := openOptions{}
	cmd := &cobra.Command{
		Use:   "open [DIR]...",
		Short: "Show the library and the breakdowns in a browser on this machine",
		Long: `Serve the touches of the library and the breakdowns in these folders to a
browser on this machine, until Ctrl-C. A folder is a breakdown or holds some;
without one, "out" is taken. Nothing can be reached from other machines.

` + exitHelp(library, disk),
		Example: "  mesure open\n  mesure open breakdowns --port 0",
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Folders = args
			for _, dir := range args {
				if err := isFolder(dir); err != nil {
					return err
				}
			}
			if len(args) == 0 {
				o.Folders = []string{defaultOut}
			}
			return runOpen(cmd.Context(), b, o)
		},
	}
	cmd.Flags().IntVar(&o.Port, "port", defaultPort, "port on 127.0.0.1; 0 takes a free one")
	word(cmd.Flags(), "port", "N")
	return cmd
}

// isFolder refuses a folder that was named and is not there: a slip of the pen
// would show an empty page.
func isFolder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return misuseHint(`"mesure tell" and "mesure demo" write one.`, "%s: there is no such folder", dir)
	case err != nil:
		return at(dir, err)
	case !info.IsDir():
		return misuseHint("Name the folder that holds it.", "%s: this is a file, not a folder", dir)
	}
	return nil
}

func runOpen(ctx context.Context, b *bench, o openOptions) error {
	if o.Port < 0 || o.Port > 65535 {
		return misuse("--port: %d is not a port; write 0 to 65535", o.Port)
	}
	var listen net.ListenConfig
	l, err := listen.Listen(ctx, "tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(o.Port)))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return misuseHint("--port 0 takes a free one.", "--port: %d is taken by another program", o.Port)
	case errors.Is(err, syscall.EACCES):
		return misuseHint("--port 0 takes a free one.", "--port: %d may not be used by this user", o.Port)
	case err != nil:
		return err
	}
	address := "http://" + l.Addr().String() + "/"
	err = b.show(map[string]string{"address": address}, func() {
		fmt.Fprintf(b.out, "Open %s in a browser. Ctrl-C ends.\n", address)
	})
	if err != nil {
		l.Close()
		return err
	}
	return web.Serve(ctx, l, web.Handler(shelf{b}, o.Folders))
}
