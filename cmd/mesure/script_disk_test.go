package main

import (
	"os/exec"

	"github.com/rogpeppe/go-internal/testscript"
)

// smallDisk mounts a disk of its own, which ends with the script.
func smallDisk(ts *testscript.TestScript, _ bool, args []string) {
	dir := ts.MkAbs(args[0])
	mount(ts, "-t", "tmpfs", "-o", "size="+args[1], "mesure-test", dir)
	ts.Defer(func() { _ = exec.Command("umount", "-l", dir).Run() })
}

// readOnly makes a small disk read-only.
func readOnly(ts *testscript.TestScript, _ bool, args []string) {
	mount(ts, "-o", "remount,ro", ts.MkAbs(args[0]))
}

func mount(ts *testscript.TestScript, args ...string) {
	if out, err := exec.Command("mount", args...).CombinedOutput(); err != nil {
		ts.Fatalf("mount %v: %v: %s", args, err, out)
	}
}
