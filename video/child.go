package video

import (
	"compress/gzip"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"codeberg.org/gruf/go-ffmpreg/wasm"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/experimental"
)

// packed is FFmpeg as a WebAssembly module, see ffmpreg/README.md. It stays
// packed until a child needs it.
//
//go:embed ffmpreg/ffmpreg.wasm.gz
var packed string

const (
	// childBroken is the exit code of a child that could not run its tool.
	childBroken = 97
	// childOrphaned is the exit code of a child whose parent has gone.
	childOrphaned = 98
	// guestPages limits the memory of the sandbox, in pages of 64 KiB: 2 GiB,
	// enough to decode H.264 at MaxWidth × MaxHeight with 16 reference frames.
	guestPages = 32768
	// compileWorkers is how many cores compile the module (2.7 s with two against
	// 5.1 s with one, once a machine).
	compileWorkers = 2
)

// IsChild reports whether this process was started to decode for another.
func IsChild() bool { return os.Getenv(childEnv) != "" }

// RunChild does the work of a child process and exits; in every other process it
// returns at once. Call it first thing in main, and in TestMain of every package
// whose tests decode with the embedded engine.
func RunChild() {
	task := os.Getenv(childEnv)
	if task == "" {
		return
	}
	code, err := runChild(task)
	if err != nil {
		fmt.Fprintf(os.Stderr, "[child] [fatal] %v\n", err)
		code = childBroken
	}
	os.Exit(code)
}

func runChild(task string) (int, error) {
	var j childJob
	if err := json.Unmarshal([]byte(task), &j); err != nil {
		return 0, fmt.Errorf("the job cannot be read: %w", err)
	}
	in := io.Reader(os.Stdin)
	if !j.Fed {
		in = strings.NewReader("")
		go dieWithParent()
	}
	ctx := experimental.WithCompilationWorkers(context.Background(), min(compileWorkers, runtime.GOMAXPROCS(0)))
	cfg := wazero.NewRuntimeConfig().WithMemoryLimitPages(guestPages)
	if dir, err := cacheFolder(); err == nil {
		if cache, err := wazero.NewCompilationCacheWithDir(dir); err == nil {
			cfg = cfg.WithCompilationCache(cache)
		}
	}
	rt, err := wasm.NewRuntime(ctx, cfg)
	if err != nil {
		return 0, fmt.Errorf("the sandbox cannot be set up: %w", err)
	}
	code, err := unpack()
	if err != nil {
		return 0, err
	}
	mod, err := rt.CompileModule(ctx, code)
	if err != nil {
		return 0, fmt.Errorf("the module cannot be compiled: %w", err)
	}
	var sandbox files
	if j.Input != "" {
		sandbox = append(sandbox, granted{j.InputName, j.Input, false})
	}
	if j.Output != "" {
		sandbox = append(sandbox, granted{j.OutputName, j.Output, true})
	}
	rc, err := wasm.Run(ctx, rt, mod, wasm.Args{
		Name: j.Tool, Args: j.Args, Stdin: in, Stdout: os.Stdout, Stderr: os.Stderr,
		Config: func(c wazero.ModuleConfig) wazero.ModuleConfig {
			mounts := wazero.NewFSConfig().WithFSMount(sandbox, guestRoot)
			return c.WithFSConfig(mounts).WithSysWalltime().WithSysNanotime()
		},
	})
	if err != nil {
		// A trap: what was decoded ran into a wall of the sandbox.
		fmt.Fprintf(os.Stderr, "[child] [error] %s\n", firstLine(err.Error()))
		return 1, nil
	}
	return int(rc), nil
}

// dieWithParent ends this process when the other end of its standard input is
// closed, which happens even when the parent is killed.
func dieWithParent() {
	_, _ = io.Copy(io.Discard, os.Stdin)
	os.Exit(childOrphaned)
}

func unpack() ([]byte, error) {
	z, err := gzip.NewReader(strings.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("the module cannot be unpacked: %w", err)
	}
	code := make([]byte, 0, 24<<20)
	for {
		if len(code) == cap(code) {
			code = append(code, 0)[:len(code)]
		}
		n, err := z.Read(code[len(code):cap(code)])
		code = code[:len(code)+n]
		if err == io.EOF {
			return code, nil
		}
		if err != nil {
			return nil, fmt.Errorf("the module cannot be unpacked: %w", err)
		}
	}
}

// cacheFolder makes the folder for the compiled module. Only the user may enter
// it, for what lies there is run as code.
func cacheFolder() (string, error) {
	dir := os.Getenv(CacheEnv)
	if dir == "" {
		base, err := os.UserCacheDir()
		if err != nil {
			return "", err
		}
		dir = filepath.Join(base, "mesure")
	}
	dir = filepath.Join(dir, "engine")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return "", err
	}
	return dir, nil
}

func firstLine(s string) string {
	s, _, _ = strings.Cut(s, "\n")
	return s
}
