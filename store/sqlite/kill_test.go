//go:build !windows

package sqlite_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"reflect"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"mesure/store/sqlite"
	"mesure/store/storetest"
	"mesure/study"
)

// The test starts itself as a child that changes a library and says on its
// standard output what it is about to do and what was acknowledged. The child is
// killed at a chance moment; then everything acknowledged must be there, what
// was under way must be there whole or not at all, and Check must find nothing.
// The expected state comes from the same changes made to storetest.Memory.
const (
	childDir   = "MESURE_TEST_KILL_DIR"
	childSeed  = "MESURE_TEST_KILL_SEED"
	kills      = 40
	killsShort = 25
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		child(dir, os.Getenv(childSeed))
	}
	os.Exit(m.Run())
}

// deed is one change.
type deed struct {
	N    int             `json:"n"`
	Op   string          `json:"op"`
	ID   study.ID        `json:"id,omitempty"`
	Of   study.ID        `json:"of,omitempty"`
	Base study.Revision  `json:"base,omitempty"`
	Body json.RawMessage `json:"body,omitempty"`
	// Size and Seed make a video that both sides can write.
	Size int    `json:"size,omitempty"`
	Seed uint64 `json:"seed,omitempty"`
}

func (d deed) do(l study.Library) error {
	var err error
	switch d.Op {
	case "create":
		kind := study.KindBout
		if d.Of != "" {
			kind = study.KindTouch
		}
		_, err = l.Create(ctx, study.Document{ID: d.ID, Kind: kind, Of: d.Of, Gesture: fmt.Sprint("deed ", d.N), Body: d.Body})
	case "save":
		_, err = l.Save(ctx, d.ID, d.Base, fmt.Sprint("deed ", d.N), d.Body)
	case "undo":
		_, err = l.Undo(ctx, d.ID, d.Base)
	case "redo":
		_, err = l.Redo(ctx, d.ID, d.Base)
	case "delete":
		err = l.Delete(ctx, d.ID, d.Base)
	case "media":
		_, err = l.AddMedia(ctx, fmt.Sprintf("%d.mp4", d.N), d.video())
	case "unmedia":
		err = l.RemoveMedia(ctx, string(d.ID))
	default:
		err = fmt.Errorf("no deed %q", d.Op)
	}
	return err
}

func (d deed) video() io.Reader {
	var seed [32]byte
	copy(seed[:], strconv.FormatUint(d.Seed, 10))
	return io.LimitReader(rand.NewChaCha8(seed), int64(d.Size))
}

// plan draws the next change from what the library holds.
func plan(r *rand.Rand, l study.Library, n int, round string) (deed, error) {
	d := deed{N: n}
	var all []study.Document
	for _, k := range []study.Kind{study.KindBout, study.KindTouch} {
		docs, err := l.List(ctx, k, "")
		if err != nil {
			return d, err
		}
		all = append(all, docs...)
	}
	words, err := json.Marshal(strings.Repeat(fmt.Sprintf("%s/%d ", round, n), 1+r.IntN(3000)))
	if err != nil {
		return d, err
	}
	switch p := r.IntN(100); {
	case p < 8:
		media, err := l.ListMedia(ctx)
		if err != nil || len(media) == 0 {
			d.Op, d.Size, d.Seed = "media", r.IntN(300_000), r.Uint64()
			return d, err
		}
		d.Op, d.ID = "unmedia", study.ID(media[r.IntN(len(media))].SHA256)
		return d, nil
	case p < 30:
		d.Op, d.Size, d.Seed = "media", r.IntN(300_000), r.Uint64()
		return d, nil
	case p < 50 || len(all) == 0:
		d.Op, d.ID, d.Body = "create", study.ID(fmt.Sprintf("r%s-%d", round, n)), words
		if len(all) > 0 && r.IntN(2) == 0 {
			d.Of = all[r.IntN(len(all))].ID
		}
		return d, nil
	}
	at := all[r.IntN(len(all))]
	d.ID, d.Base = at.ID, at.Revision
	switch p := r.IntN(100); {
	case p < 20 && at.CanUndo:
		d.Op = "undo"
	case p < 40 && at.CanRedo:
		d.Op = "redo"
	case p < 45 && len(all) > 10:
		d.Op = "delete"
	default:
		d.Op, d.Body = "save", words
	}
	return d, nil
}

// child changes the library until it is killed.
func child(dir, round string) {
	seed, err := strconv.ParseUint(round, 10, 64)
	l, err2 := sqlite.Open(context.Background(), dir, sqlite.Options{Acts: killedActs})
	if err != nil || err2 != nil {
		fmt.Println("failed", err, err2)
		os.Exit(1)
	}
	r := rand.New(rand.NewPCG(seed, 1))
	for n := 1; ; n++ {
		d, err := plan(r, l, n, round)
		if err == nil {
			line, _ := json.Marshal(d)
			fmt.Printf("try %s\n", line)
			err = d.do(l)
		}
		if err != nil {
			fmt.Println("failed", err)
			os.Exit(1)
		}
		fmt.Printf("done %d\n", n)
	}
}

// snapshot is everything a library shows, without the times.
type snapshot struct {
	States []study.Document
	Shown  []study.Document
	Media  []study.Media
	Acts   []study.Act
}

// killedActs makes of every bout a few acts that tell its body.
func killedActs(d study.Document) []study.Act {
	all := make([]study.Act, 1+len(d.Body)%7)
	for i := range all {
		all[i] = study.Act{Bout: d.ID, Line: strconv.Itoa(i), Fencer: "Ash", Choice: fmt.Sprint(crc32.ChecksumIEEE(d.Body))}
	}
	return all
}

func snap(t *testing.T, l study.Library) snapshot {
	t.Helper()
	var s snapshot
	for _, k := range []study.Kind{study.KindBout, study.KindTouch} {
		docs, err := l.List(ctx, k, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range docs {
			all, err := l.History(ctx, d.ID)
			if err != nil {
				t.Fatal(err)
			}
			s.States = append(s.States, all...)
			s.Shown = append(s.Shown, d)
		}
	}
	var err error
	if s.Media, err = l.ListMedia(ctx); err != nil {
		t.Fatal(err)
	}
	if s.Acts, err = l.Acts(ctx, study.ActQuery{Fencer: "ash"}); err != nil {
		t.Fatal(err)
	}
	for i := range s.States {
		s.States[i].Saved = time.Time{}
	}
	for i := range s.Shown {
		s.Shown[i].Saved = time.Time{}
	}
	for i := range s.Media {
		s.Media[i].Added = time.Time{}
	}
	return s
}

func TestKilledAtAnyMoment(t *testing.T) {
	rounds := kills
	if testing.Short() {
		rounds = killsShort
	}
	first := uint64(time.Now().UnixNano())
	if s := os.Getenv("MESURE_TEST_SEED"); s != "" {
		var err error
		if first, err = strconv.ParseUint(s, 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("seed %d (repeat with MESURE_TEST_SEED=%d)", first, first)
	dir, model := t.TempDir(), storetest.Indexed(t, killedActs)
	acknowledged, halfway := 0, 0
	for i := range rounds {
		seed := first + uint64(i)
		tries, done := kill(t, dir, seed)
		for _, d := range tries[:done] {
			if err := d.do(model); err != nil {
				t.Fatalf("seed %d, deed %d: %v", seed, d.N, err)
			}
		}
		acknowledged += done
		l := indexed(t, dir, killedActs)
		got := snap(t, l)
		if want := snap(t, model); !reflect.DeepEqual(got, want) {
			if len(tries) == done {
				t.Fatalf("seed %d: after %d deeds, all acknowledged, the library holds something else", seed, done)
			}
			last := tries[done]
			if err := last.do(model); err != nil {
				t.Fatalf("seed %d, deed %d: %v", seed, last.N, err)
			}
			if want := snap(t, model); !reflect.DeepEqual(got, want) {
				t.Fatalf("seed %d: the library is neither as before the deed %s %d under way nor as after it", seed, last.Op, last.N)
			}
			halfway++
		}
		for _, m := range got.Media {
			if path, err := l.MediaPath(ctx, m.SHA256); err != nil {
				t.Errorf("seed %d: %v", seed, err)
			} else if info, err := os.Stat(path); err != nil || info.Size() != m.Bytes {
				t.Errorf("seed %d: a video of %d bytes: %v", seed, m.Bytes, err)
			}
		}
		if found, err := l.Check(ctx); err != nil || len(found) != 0 {
			t.Fatalf("seed %d: check finds %v, %v", seed, found, err)
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills, %d changes acknowledged, %d stored but not acknowledged", rounds, acknowledged, halfway)
	if acknowledged < rounds {
		t.Errorf("only %d changes were acknowledged in %d rounds: the child is killed too early to show anything", acknowledged, rounds)
	}
}

// kill runs a child and kills it; it returns what the child tried and how many
// of these were acknowledged.
func kill(t *testing.T, dir string, seed uint64) (tries []deed, done int) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 2))
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), childDir+"="+dir, childSeed+"="+strconv.FormatUint(seed, 10))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	// Some are killed while they open the library, most a little after one of
	// their first deeds began, so that the kill falls into a deed.
	after, wait := r.IntN(12), time.Duration(r.IntN(8000))*time.Microsecond
	started := false
	shoot := func() {
		if !started {
			started = true
			time.AfterFunc(wait, func() { cmd.Process.Kill() })
		}
	}
	if after == 0 {
		shoot()
	}
	lines := bufio.NewReader(out)
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			break // killed: a line without its end was not said
		}
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch word {
		case "try":
			var d deed
			if err := json.Unmarshal([]byte(rest), &d); err != nil {
				t.Fatal(err)
			}
			tries = append(tries, d)
			if len(tries) >= after {
				shoot()
			}
		case "done":
			done++
		default:
			t.Fatalf("seed %d: the child says %s", seed, line)
		}
	}
	err = cmd.Wait()
	if state, ok := cmd.ProcessState.Sys().(syscall.WaitStatus); !ok || !state.Signaled() {
		t.Fatalf("seed %d: the child was not killed: %v", seed, err)
	}
	return tries, done
}

// The lock is held against other processes and is free once they are dead.
func TestSecondProcessIsLockedOut(t *testing.T) {
	dir := t.TempDir()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), childDir+"="+dir, childSeed+"=1")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n') // it is open by now
	if err != nil || !strings.HasPrefix(line, "try ") {
		t.Errorf("the child says %q, %v", line, err)
	}
	_, err = sqlite.Open(ctx, dir, sqlite.Options{})
	if want := fmt.Sprintf("open in another process (process %d, since ", cmd.Process.Pid); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want %q in it", err, want)
	}
	cmd.Process.Kill()
	cmd.Wait()
	open(t, dir)
}
