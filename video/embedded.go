package video

import (
	"context"
	"encoding/json"
	"io"
	"path/filepath"
	"strconv"
	"strings"
)

// childEnv is set in a child process.
const childEnv = "MESURE_VIDEO_CHILD"

// CacheEnv names the environment variable with the folder for the compiled
// module; without it the user's cache folder is used.
const CacheEnv = "MESURE_CACHE"

// embedded runs the WebAssembly build in child processes.
type embedded struct{ pool *pool }

// Embedded returns the engine that is built in. The program must call RunChild
// first thing in main. All engines returned share their child processes, which
// end by themselves some seconds after their last work and at once when this
// process ends.
func Embedded() Engine { return newEngine(embedded{&children}) }

// children are the child processes of this process.
var children pool

// Rest ends the child processes that wait for work, for a program that will not
// decode again soon. The next work starts a new one.
func Rest() { children.dismiss() }

func (embedded) name() string   { return EmbeddedName }
func (embedded) where() string  { return "built in (go-ffmpreg v0.6.22)" }
func (embedded) preset() string { return "ultrafast" }
func (embedded) threads() int   { return 1 }

// childJob is a job as the child gets it.
type childJob struct {
	Tool   string   `json:"tool"`
	Args   []string `json:"args"`
	Input  string   `json:"input,omitempty"`
	Output string   `json:"output,omitempty"`
	// InputName and OutputName are the names that the sandbox shows.
	InputName  string `json:"input_name,omitempty"`
	OutputName string `json:"output_name,omitempty"`
	// Others are further files that are read, and OtherNames theirs in the sandbox.
	Others     []string `json:"others,omitempty"`
	OtherNames []string `json:"other_names,omitempty"`
	Fed        bool     `json:"fed,omitempty"`

	stdin *io.PipeReader // in the child
}

// guestRoot is the folder of the sandbox in which the file is seen.
const guestRoot = "/video"

// start hands the job to a child process.
func (m embedded) start(ctx context.Context, j job) (*run, error) {
	task, err := taskOf(j)
	if err != nil {
		return nil, err
	}
	for {
		w, fresh, err := m.pool.take()
		if err != nil {
			return nil, err
		}
		if err := w.to.send(msgJob, task); err != nil {
			w.kill()
			w.end()
			if !fresh { // it died while it waited: the next one may live
				continue
			}
			return nil, ErrEngine.on("", err)
		}
		return w.work(ctx), nil
	}
}

// taskOf writes a job as the child reads it.
func taskOf(j job) ([]byte, error) {
	var err error
	c := childJob{Tool: j.tool, Args: append([]string(nil), j.args...), Fed: j.fed}
	if j.input != "" {
		if c.Input, err = filepath.Abs(j.input); err != nil {
			return nil, ErrMissing.on(j.input, err)
		}
		c.InputName = "input" + plainEnding(j.input)
	}
	if j.output != "" {
		if c.Output, err = filepath.Abs(j.output); err != nil {
			return nil, ErrMissing.on(j.output, err)
		}
		c.OutputName = "output" + plainEnding(j.output)
	}
	put(c.Args, inputHere, "file:"+guestRoot+"/"+c.InputName)
	put(c.Args, outputHere, "file:"+guestRoot+"/"+c.OutputName)
	for i, name := range j.others {
		abs, err := filepath.Abs(name)
		if err != nil {
			return nil, ErrMissing.on(name, err)
		}
		c.Others, c.OtherNames = append(c.Others, abs), append(c.OtherNames, otherName(i, name))
		put(c.Args, otherHere(i), "file:"+guestRoot+"/"+otherName(i, name))
	}
	task, err := json.Marshal(c)
	if err != nil {
		return nil, ErrEngine.on("", err)
	}
	return task, nil
}

// put writes a name wherever its place is in the arguments.
func put(args []string, place, name string) {
	for i, a := range args {
		if a == place {
			args[i] = name
		}
	}
}

// otherName is how the sandbox shows one more file.
func otherName(i int, path string) string { return "other" + strconv.Itoa(i) + plainEnding(path) }

// sees returns the name that the sandbox shows.
func (embedded) sees(i int, path string) (string, error) {
	return "file:" + guestRoot + "/" + otherName(i, path), nil
}

// plainEnding returns the ending of a file name where it is a harmless one: the
// demuxers may take it as a hint, as they do on the native engine.
func plainEnding(path string) string {
	ext := filepath.Ext(path)
	if len(ext) < 2 || len(ext) > 8 {
		return ""
	}
	for _, r := range ext[1:] {
		if !strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", r) {
			return ""
		}
	}
	return ext
}
