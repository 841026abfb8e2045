package sqlite

import (
	"context"
	crand "crypto/rand"
	"database/sql"
	"encoding/base32"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the database/sql driver

	"mesure/study"
)

// Names inside the folder of a library.
const (
	dbName    = "library.db"
	mediaName = "media"
	lockName  = "lock"
)

// maxConnections bounds how many readers ask SQLite at once; each has its own
// cache of pages.
const maxConnections = 8

// Options of a library. The zero value is what a program wants.
type Options struct {
	// Clock gives the time of day; nil means time.Now.
	Clock func() time.Time
	// IDs is the chance behind the names of documents; nil means one seeded by
	// the operating system. It is used by one goroutine at a time.
	IDs rand.Source
	// Acts finds the choices of a bout for the index behind Library.Acts; nil: none are
	// indexed and none are found. A library that was changed without it, or indexed by
	// another version of it, is indexed anew when it is opened.
	Acts study.Indexer
}

// library is an open library.
type library struct {
	dir   string
	db    *sql.DB
	lock  *lock
	clock func() time.Time
	acts  study.Indexer

	// write is held by every change, so that one of them never waits for another
	// inside SQLite; idle readers are not held up by it.
	write sync.Mutex
	ids   rand.Source // guarded by write

	// media is held for writing while a file gets its name, so that no reader
	// sees a row without its file.
	media sync.RWMutex
}

var _ study.Library = (*library)(nil)

// Open opens the library in a folder and holds its lock until Close. A folder
// that does not exist or is empty becomes a new library; one that holds other
// things is refused. What a killed process left half-written is removed.
//
// Errors, besides those of the file system: study.ErrLocked where another
// process has it open, ErrNewer where a later version of the program wrote it,
// ErrDamaged, ErrNoSpace, ErrReadOnly and ErrNotLibrary.
func Open(ctx context.Context, dir string, o Options) (study.Library, error) {
	l, err := open(ctx, dir, o, migrations)
	if err != nil {
		return nil, err
	}
	return l, nil
}

func open(ctx context.Context, dir string, o Options, steps []string) (_ *library, err error) {
	// Not stored: the folder may be moved once it is closed.
	dir, err = filepath.Abs(dir)
	if err != nil {
		return nil, explain(err)
	}
	if err := claim(dir); err != nil {
		return nil, explain(err)
	}
	l := &library{dir: dir, clock: o.Clock, ids: o.IDs, acts: o.Acts}
	if l.clock == nil {
		l.clock = time.Now
	}
	if l.ids == nil {
		l.ids = seeded()
	}
	if l.lock, err = takeLock(filepath.Join(dir, lockName), l.clock()); err != nil {
		return nil, explain(err)
	}
	defer func() {
		if err != nil {
			l.Close()
		}
	}()
	if l.db, err = sql.Open("sqlite", dsn(filepath.Join(dir, dbName))); err != nil {
		return nil, explain(err)
	}
	l.db.SetMaxOpenConns(maxConnections)
	if err := migrate(ctx, l.db, steps); err != nil {
		return nil, explain(err)
	}
	if err := l.reindex(ctx); err != nil {
		return nil, explain(err)
	}
	if err := syncDir(dir); err != nil {
		return nil, explain(err)
	}
	if err := l.recover(ctx); err != nil {
		return nil, explain(err)
	}
	return l, nil
}

// claim makes the folder, or sees that it may become or already is a library.
func claim(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		// Only the owner may look in: footage shows people.
		if err := os.MkdirAll(filepath.Join(dir, mediaName), 0o700); err != nil {
			return err
		}
		return syncDir(filepath.Dir(dir))
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.Name() == dbName {
			return nil
		}
	}
	for _, e := range entries {
		switch n := e.Name(); {
		// What a process leaves that was killed while it made the library, or
		// what a file system puts into every new folder.
		case n == lockName, n == mediaName, strings.HasPrefix(n, dbName), n == "lost+found", strings.HasPrefix(n, "."):
		default:
			return fmt.Errorf("%w: %s holds other things, such as %s", ErrNotLibrary, dir, n)
		}
	}
	return nil
}

// dsn names the database with its pragmas: SQLite keeps them by connection, so
// only here do they hold for every one of the pool.
func dsn(path string) string {
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(path), OmitHost: true}
	q := url.Values{}
	// busy_timeout comes first so that the others wait as well.
	q.Add("_pragma", "busy_timeout(10000)")
	q.Add("_pragma", "journal_mode(WAL)")
	// FULL: a commit is on the disk before it is acknowledged.
	q.Add("_pragma", "synchronous(FULL)")
	q.Add("_pragma", "foreign_keys(ON)")
	// A transaction takes the right to write at once, never halfway.
	q.Add("_txlock", "immediate")
	u.RawQuery = q.Encode()
	return u.String()
}

// seeded is a source of chance that the operating system seeds.
func seeded() rand.Source {
	var seed [32]byte
	if _, err := crand.Read(seed[:]); err != nil {
		panic("sqlite: the operating system gives no chance: " + err.Error())
	}
	return rand.NewChaCha8(seed)
}

// newID draws a name of 20 letters and digits (100 bits).
func (l *library) newID() study.ID {
	var b [16]byte
	binary.BigEndian.PutUint64(b[:8], l.ids.Uint64())
	binary.BigEndian.PutUint64(b[8:], l.ids.Uint64())
	return study.ID(strings.ToLower(base32.StdEncoding.EncodeToString(b[:])[:20]))
}

// Close releases the lock. The library must not be used afterwards.
func (l *library) Close() error {
	var errs []error
	if l.db != nil {
		errs = append(errs, l.db.Close())
	}
	errs = append(errs, l.lock.release())
	return explain(errors.Join(errs...))
}

// change runs f in one transaction and commits it where f returns nil.
func (l *library) change(ctx context.Context, f func(tx *sql.Tx) error) error {
	l.write.Lock()
	defer l.write.Unlock()
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(err)
	}
	if err := f(tx); err != nil {
		return explain(errors.Join(err, rollback(tx)))
	}
	return explain(tx.Commit())
}

// rollback gives a transaction up; one that its context ended is given up
// already.
func rollback(tx *sql.Tx) error {
	if err := tx.Rollback(); err != nil && !errors.Is(err, sql.ErrTxDone) {
		return err
	}
	return nil
}
