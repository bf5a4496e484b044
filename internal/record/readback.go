package record

import (
	"fmt"
	"io"
	"os"
	"time"
)

// readBack is a file of a disk that may be dead: opening and reading it is done
// by a goroutine of its own, and Read waits no longer than stated for it. That
// goroutine shares no memory: each piece it reads has a buffer of its own.
type readBack struct {
	pieces chan []byte
	quit   chan struct{}
	within time.Duration
	rest   []byte
	err    error // set before pieces is closed
}

func openBack(fsys FS, path string, within time.Duration) *readBack {
	r := &readBack{pieces: make(chan []byte), quit: make(chan struct{}), within: within}
	go func() {
		defer close(r.pieces)
		r.err = r.carry(fsys, path)
	}()
	return r
}

// carry reads the file piece by piece until its end, or until Close.
func (r *readBack) carry(fsys FS, path string) error {
	f, err := fsys.Open(path, os.O_RDONLY)
	if err != nil {
		return err
	}
	defer f.Close()
	for {
		b := make([]byte, blockSize)
		n, err := f.Read(b)
		if n > 0 {
			select {
			case r.pieces <- b[:n]:
			case <-r.quit:
				return os.ErrClosed
			}
		}
		if err == nil && n == 0 {
			err = io.ErrNoProgress
		}
		if err != nil {
			return err
		}
	}
}

// Read gives the next bytes, or ErrNoAnswer.
func (r *readBack) Read(b []byte) (int, error) {
	if len(r.rest) == 0 {
		limit := time.NewTimer(r.within)
		defer limit.Stop()
		select {
		case piece, ok := <-r.pieces:
			if !ok {
				return 0, r.err
			}
			r.rest = piece
		case <-limit.C:
			return 0, fmt.Errorf("read back: %w after %v", ErrNoAnswer, r.within)
		}
	}
	n := copy(b, r.rest)
	r.rest = r.rest[n:]
	return n, nil
}

// Close lets the file go; it does not wait for that.
func (r *readBack) Close() error {
	close(r.quit)
	return nil
}

var _ io.ReadCloser = (*readBack)(nil)
