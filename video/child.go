package video

import (
	"bufio"
	"compress/gzip"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
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
	if !IsChild() {
		return
	}
	out := &messages{w: os.Stdout}
	if err := serve(os.Stdin, out); err != nil {
		_, _ = out.as(msgSaid).Write([]byte("[child] [fatal] " + firstLine(err.Error()) + "\n"))
		_ = out.send(msgExit, []byte{childBroken})
		os.Exit(childBroken)
	}
	os.Exit(0)
}

// serve does one job after the other until the parent closes the pipe, which
// also happens when the parent is killed.
func serve(in io.Reader, out *messages) error {
	jobs := make(chan childJob)
	go func() {
		_ = take(in, jobs)
		os.Exit(0) // the parent has gone; what is under way is for nobody
	}()
	rt, mod, err := prepare()
	if err != nil {
		return err
	}
	for j := range jobs {
		code := j.do(rt, mod, out)
		_ = j.stdin.Close() // what still comes is dropped
		if err := out.send(msgExit, []byte{byte(code)}); err != nil {
			return err
		}
		debug.FreeOSMemory() // the memory of the guest, up to guestPages
	}
	return nil
}

// take reads messages from the parent. It never waits for a tool that has ended.
func take(in io.Reader, jobs chan<- childJob) error {
	var feed *io.PipeWriter
	r := bufio.NewReaderSize(in, readAtOnce)
	for {
		kind, length, err := receive(r)
		if err != nil {
			return err
		}
		switch kind {
		case msgJob:
			b, err := receiveAll(r, length)
			if err != nil {
				return err
			}
			var j childJob
			if err := json.Unmarshal(b, &j); err != nil {
				return err
			}
			j.stdin, feed = io.Pipe()
			if !j.Fed {
				_ = feed.Close()
			}
			jobs <- j
		case msgInput:
			if feed == nil {
				return errNoJob
			}
			if err := pass(feed, r, length); err != nil {
				return err
			}
		case msgInputEnd:
			if feed == nil {
				return errNoJob
			}
			_ = feed.Close()
		}
	}
}

// errNoJob says that frames came for no job.
var errNoJob = errors.New("video: frames came before a job")

// prepare sets up the sandbox and compiles the module or takes it from the cache.
func prepare() (wazero.Runtime, wazero.CompiledModule, error) {
	ctx := experimental.WithCompilationWorkers(context.Background(), min(compileWorkers, runtime.GOMAXPROCS(0)))
	cfg := wazero.NewRuntimeConfig().WithMemoryLimitPages(guestPages)
	if dir, err := cacheFolder(); err == nil {
		if cache, err := wazero.NewCompilationCacheWithDir(dir); err == nil {
			cfg = cfg.WithCompilationCache(cache)
		}
	}
	rt, err := wasm.NewRuntime(ctx, cfg)
	if err != nil {
		return nil, nil, fmt.Errorf("the sandbox cannot be set up: %w", err)
	}
	code, err := unpack()
	if err != nil {
		return nil, nil, err
	}
	mod, err := rt.CompileModule(ctx, code)
	if err != nil {
		return nil, nil, fmt.Errorf("the module cannot be compiled: %w", err)
	}
	return rt, mod, nil
}

// do runs the tool and returns its exit code.
func (j childJob) do(rt wazero.Runtime, mod wazero.CompiledModule, out *messages) uint32 {
	said := out.as(msgSaid)
	var sandbox files
	if j.Input != "" {
		sandbox = append(sandbox, granted{name: j.InputName, path: j.Input})
	}
	for i, path := range j.Others {
		sandbox = append(sandbox, granted{name: j.OtherNames[i], path: path})
	}
	if j.Output != "" {
		sandbox = append(sandbox, granted{name: j.OutputName, path: j.Output, write: true, said: said})
	}
	code, err := wasm.Run(context.Background(), rt, mod, wasm.Args{
		Name: j.Tool, Args: j.Args, Stdin: j.stdin, Stdout: out.as(msgOutput), Stderr: said,
		Config: func(c wazero.ModuleConfig) wazero.ModuleConfig {
			mounts := wazero.NewFSConfig().WithFSMount(sandbox, guestRoot)
			return c.WithFSConfig(mounts).WithSysWalltime().WithSysNanotime()
		},
	})
	if err != nil {
		// A trap: what was decoded ran into a wall of the sandbox.
		fmt.Fprintf(said, "[child] [error] %s\n", firstLine(err.Error()))
		return 1
	}
	return code
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
