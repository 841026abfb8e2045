package video

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// parentEnv makes the test program a parent that decodes until it is killed.
const parentEnv = "MESURE_TEST_PARENT"

// beParent decodes slowly and tells the number of its child.
func beParent(path string) {
	e := Embedded()
	clip, err := e.Probe(context.Background(), path, nil)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	_ = e.Frames(context.Background(), path, clip, 0, 399, func(f Frame) error {
		if f.Number == 3 {
			running, _ := ours()
			fmt.Println("child", running[0])
		}
		time.Sleep(50 * time.Millisecond)
		return nil
	})
	os.Exit(0)
}

// TestChildDiesWithParent kills a program that decodes, as a crash would, and
// wants its child gone as well.
func TestChildDiesWithParent(t *testing.T) {
	path := longClip(t, 640, 480, 400)
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), parentEnv+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, _ := bufio.NewReader(out).ReadString('\n')
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
	child, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(line, "child ")))
	if err != nil {
		t.Fatalf("the parent said %q", line)
	}
	for range 250 {
		if syscall.Kill(child, 0) != nil {
			return
		}
		if b, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", child)); err != nil || strings.HasPrefix(statusField(string(b), "State"), "Z") {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Errorf("the child %d lives on after its parent was killed", child)
	_ = syscall.Kill(child, syscall.SIGKILL)
}

func init() {
	if path := os.Getenv(parentEnv); path != "" && !IsChild() {
		beParent(path)
	}
}
