package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"mesure/store/sqlite"
	"mesure/study"
	"mesure/web"
)

// Where "mesure open" listens.
const (
	defaultHost = "127.0.0.1"
	defaultPort = "8420"
)

// openOptions are the values that "mesure open" works with.
type openOptions struct {
	// Addr is HOST:PORT; empty means the default, or any free port where that is
	// taken.
	Addr      string
	NoBrowser bool
	Engine    engine
}

func newOpenCommand(b *bench) *cobra.Command {
	var o openOptions
	cmd := &cobra.Command{
		Use:   "open",
		Short: "Open the desk: the library in a browser on this machine",
		Long: `Open the desk in a browser: add videos, write the score sheet, place and mark a
touch, read its race. It is served from this machine until Ctrl-C, and nothing
can be reached from other machines unless --addr says so. Whatever was
acknowledged is stored, however it ends.

` + exitHelp(badVideo, library, disk),
		Example: "  mesure open\n  mesure open --library season --no-browser\n  mesure open --addr 127.0.0.1:0",
		Args:    arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runOpen(cmd.Context(), b, o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.Addr, "addr", "", "where to listen, else "+net.JoinHostPort(defaultHost, defaultPort)+"; port 0 takes a free one")
	word(f, "addr", "HOST:PORT")
	f.BoolVar(&o.NoBrowser, "no-browser", false, "print the address and open no browser")
	f.Var(&o.Engine, "engine", "what reads the videos")
	return cmd
}

func runOpen(ctx context.Context, b *bench, o openOptions) error {
	host, port, err := splitAddr(o.Addr)
	if err != nil {
		return err
	}
	e, err := o.Engine.open()
	if err != nil {
		return err
	}
	dir, err := libraryFolder(b.library)
	if err != nil {
		return err
	}
	lib, err := sqlite.Open(ctx, dir, libraryOptions())
	if errors.Is(err, study.ErrLocked) {
		return heldBy(dir, err)
	}
	if err != nil {
		return at(dir, err)
	}
	defer lib.Close()
	l, err := listen(ctx, host, port, o.Addr == "")
	if err != nil {
		return err
	}
	c := deskOf(lib, e, dir)
	c.Hosts, c.NoPaths = namesOf(host)
	address := addressOf(l.Addr(), host)
	leave := leaveAddress(dir, address)
	defer leave()
	server := web.New(c)
	defer server.Close()
	err = b.show(map[string]string{"address": address, "library": dir}, func() {
		if c.NoPaths {
			fmt.Fprintf(b.err, "Other machines can reach this address: whoever opens it can see and change the library.\n")
		}
		if c.Desk == nil {
			fmt.Fprintf(b.err, "This program was built without the desk: build it with Node present (make build).\n")
		}
		fmt.Fprintf(b.out, "The desk is at %s (library: %s). Ctrl-C ends.\n", address, dir)
	})
	if err != nil {
		l.Close()
		return err
	}
	if !o.NoBrowser && !b.asJSON {
		showPage(address)
	}
	return server.Serve(ctx, l)
}

// splitAddr reads --addr: HOST:PORT, or a port alone, which is on this machine only.
func splitAddr(addr string) (host, port string, err error) {
	if addr == "" {
		return defaultHost, defaultPort, nil
	}
	if _, err := strconv.Atoi(addr); err == nil {
		addr = ":" + addr
	}
	host, port, err = net.SplitHostPort(addr)
	if err != nil {
		return "", "", misuseHint("Write HOST:PORT, such as 127.0.0.1:8420.", "--addr: %q is not an address", addr)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return "", "", misuse("--addr: %q is not a port; write 0 to 65535", port)
	}
	if host == "" {
		host = defaultHost
	}
	return host, port, nil
}

// listen takes the port; where the default is taken and none was asked for, any.
func listen(ctx context.Context, host, port string, any bool) (net.Listener, error) {
	var c net.ListenConfig
	addr := net.JoinHostPort(host, port)
	l, err := c.Listen(ctx, "tcp", addr)
	var unknown *net.DNSError
	switch {
	case errors.Is(err, syscall.EADDRINUSE) && any:
		return listen(ctx, host, "0", false)
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, misuseHint("Port 0 takes a free one.", "--addr: %s is taken by another program", addr)
	case errors.Is(err, syscall.EACCES):
		return nil, misuseHint("Port 0 takes a free one.", "--addr: %s may not be used by this user", addr)
	case errors.Is(err, syscall.EADDRNOTAVAIL), errors.As(err, &unknown):
		return nil, misuseHint("127.0.0.1 always is.", "--addr: %s is no address of this machine", host)
	}
	return l, err
}

// namesOf returns by which names a browser may call a server that listens there,
// and whether other machines can reach it.
func namesOf(host string) (names []string, open bool) {
	ip := net.ParseIP(host)
	if host == "localhost" || ip != nil && ip.IsLoopback() {
		return []string{host}, false
	}
	names = []string{host}
	if ip != nil && ip.IsUnspecified() { // every address of this machine
		names = nil
		if all, err := net.InterfaceAddrs(); err == nil {
			for _, a := range all {
				if n, ok := a.(*net.IPNet); ok {
					names = append(names, n.IP.String())
				}
			}
		}
		if name, err := os.Hostname(); err == nil {
			names = append(names, name)
		}
	}
	return names, true
}

// addressOf is what to type into the browser of this machine.
func addressOf(a net.Addr, host string) string {
	_, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return "http://" + a.String() + "/"
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = defaultHost
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}

// addressFile lies in the library while its desk is open, and says where.
const addressFile = ".desk"

// leaveAddress writes down where the desk is, for whoever finds the library locked.
func leaveAddress(dir, address string) (remove func()) {
	path := filepath.Join(dir, addressFile)
	if os.WriteFile(path, []byte(address+"\n"), 0o600) != nil {
		return func() {} // it only helps a message
	}
	return func() { os.Remove(path) }
}

// heldBy says who has the library open: with its address where that is a desk.
func heldBy(dir string, err error) error {
	hint := "Close the other mesure, or name another library with --library DIR."
	if raw, bad := os.ReadFile(filepath.Join(dir, addressFile)); bad == nil {
		address := strings.TrimSpace(string(raw))
		ask := http.Client{Timeout: time.Second}
		if answer, bad := ask.Get(address + "api/jobs"); bad == nil {
			answer.Body.Close()
			hint = "Its desk is open already: go to " + address + ", or close it first."
		}
	}
	return &fault{where: dir, err: err, hint: hint}
}
