package main

import (
	"os"
	"os/exec"
	"runtime"
)

// showPage asks the desktop to open an address in the browser of the user. Where
// there is no desktop, or the user is root, for whom browsers refuse to start,
// nothing happens: the address was printed.
func showPage(address string) {
	c := browser(runtime.GOOS, os.Getenv, os.Geteuid())
	if c == nil {
		return
	}
	cmd := exec.Command(c[0], append(c[1:], address)...)
	if cmd.Start() == nil {
		go cmd.Wait()
	}
}

// browser is the command of a system that opens an address; nil where there is none.
func browser(system string, env func(string) string, user int) []string {
	switch system {
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	case "darwin":
		return []string{"open"}
	}
	if user == 0 || env("DISPLAY") == "" && env("WAYLAND_DISPLAY") == "" {
		return nil
	}
	return []string{"xdg-open"}
}
