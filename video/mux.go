package video

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"sync"
)

// What passes between this process and a child are messages: one byte says what
// it is, four bytes how long, then the content.
const (
	// To the child: a job, what the tool reads from its standard input, its end.
	msgJob byte = iota + 1
	msgInput
	msgInputEnd
	// From the child: what the tool wrote, what it said, its exit code.
	msgOutput
	msgSaid
	msgExit
)

const (
	headBytes = 5
	// mostBytes is the longest message; longer ones come in parts. Only a job is
	// ever near it, in a test that tries.
	mostBytes = 16 << 20
)

var errTooLong = errors.New("video: a message between the processes is too long")

// messages writes messages to a pipe, one at a time.
type messages struct {
	mu sync.Mutex
	w  io.Writer
}

func (m *messages) send(kind byte, content []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for first := true; first || len(content) > 0; first = false {
		part := content[:min(len(content), mostBytes)]
		content = content[len(part):]
		var head [headBytes]byte
		head[0] = kind
		binary.LittleEndian.PutUint32(head[1:], uint32(len(part)))
		if _, err := m.w.Write(head[:]); err != nil {
			return err
		}
		if len(part) > 0 {
			if _, err := m.w.Write(part); err != nil {
				return err
			}
		}
	}
	return nil
}

// as returns a writer whose every write is a message of this kind.
func (m *messages) as(kind byte) io.Writer { return kindWriter{m, kind} }

type kindWriter struct {
	m    *messages
	kind byte
}

func (k kindWriter) Write(b []byte) (int, error) {
	if len(b) == 0 {
		return 0, nil
	}
	if err := k.m.send(k.kind, b); err != nil {
		return 0, err
	}
	return len(b), nil
}

// receive reads the head of the next message.
func receive(r io.Reader) (kind byte, length int, err error) {
	var head [headBytes]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return 0, 0, err
	}
	length = int(binary.LittleEndian.Uint32(head[1:]))
	if length > mostBytes {
		return 0, 0, errTooLong
	}
	return head[0], length, nil
}

// receiveAll reads the content of a message.
func receiveAll(r io.Reader, length int) ([]byte, error) {
	b := make([]byte, length)
	_, err := io.ReadFull(r, b)
	return b, err
}

// readAtOnce is how much is read from a pipe at a time.
const readAtOnce = 256 << 10

// pass hands the content of a message on, straight from the buffer. What nobody
// reads any more is dropped.
func pass(to *io.PipeWriter, from *bufio.Reader, length int) error {
	open := true
	for length > 0 {
		if _, err := from.Peek(1); err != nil {
			return err
		}
		part, err := from.Peek(min(length, from.Buffered()))
		if err != nil {
			return err
		}
		if open {
			_, err := to.Write(part)
			open = err == nil
		}
		if _, err := from.Discard(len(part)); err != nil {
			return err
		}
		length -= len(part)
	}
	return nil
}
