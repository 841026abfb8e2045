package main

import (
	"context"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"mesure/store/sqlite"
	"mesure/study"
)

// held is the library that this process keeps open while a script runs others.
type held struct{}

// hold opens a library in this process, which is not the one that mesure runs
// in.
func hold(ts *testscript.TestScript, _ bool, args []string) {
	lib, err := sqlite.Open(context.Background(), ts.MkAbs(args[0]), sqlite.Options{})
	ts.Check(err)
	all := ts.Value(held{}).(*[]study.Library)
	*all = append(*all, lib)
}

// release closes what hold opened.
func release(ts *testscript.TestScript, _ bool, _ []string) {
	for _, lib := range *ts.Value(held{}).(*[]study.Library) {
		ts.Check(lib.Close())
	}
	*ts.Value(held{}).(*[]study.Library) = nil
}

// foreign copies in a clip that this project did not make: the sample that the
// module of the embedded decoder carries.
func foreign(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: foreign FILE")
	}
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "codeberg.org/gruf/go-ffmpreg").Output()
	ts.Check(err)
	ts.Check(copyFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "this-is-fine-dog.mp4"), ts.MkAbs(args[0])))
}
