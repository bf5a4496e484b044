package feed

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

// blockSize is how much of a file is read at once.
const blockSize = 64 << 10

// file reads a regular file as fast as it can be read.
type file struct{ name, path string }

func newFile(name, path string) *file { return &file{name, path} }

func (f *file) Name() string { return f.name }

// Run hands on the file in blocks, then End. The arrival times say how fast the
// disk is and nothing about the readings.
func (f *file) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(f.name, &err)
	// Looked at before it is opened, because opening a pipe waits for a writer.
	st, err := os.Stat(f.path)
	if err != nil {
		return fileError(f.path, err)
	}
	if !st.Mode().IsRegular() {
		return notRegular(f.path, st.Mode())
	}
	in, err := os.Open(f.path)
	if err != nil {
		return fileError(f.path, err)
	}
	defer in.Close()
	out(Chunk{Kind: Opened, At: time.Now()})
	buf := make([]byte, blockSize)
	for ctx.Err() == nil {
		n, err := in.Read(buf)
		at := time.Now()
		if n > 0 {
			out(Chunk{Kind: Data, At: at, Data: buf[:n]})
		}
		if errors.Is(err, io.EOF) {
			out(Chunk{Kind: End, At: at})
			return nil
		}
		if err != nil {
			return fileError(f.path, err)
		}
	}
	return nil
}

func notRegular(path string, mode fs.FileMode) *Error {
	e := &Error{kind: ErrSource}
	switch {
	case mode.IsDir():
		e.What = fmt.Sprintf("%q is a folder, not a file of lines", path)
		e.Hint = "name a file in it"
	case mode&fs.ModeCharDevice != 0:
		e.What = fmt.Sprintf("%q is a device, not a file", path)
		e.Hint = fmt.Sprintf("for a serial port write %q", "serial:"+path)
	default:
		e.What = fmt.Sprintf("%q is not a regular file", path)
		e.Hint = fmt.Sprintf(`read it from standard input: give the source "-" and add < %q`, path)
	}
	return e
}

func fileError(path string, err error) *Error {
	e := &Error{What: fmt.Sprintf("file %q cannot be read: %v", path, cause(err)), Err: err, kind: ErrSource}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.What = fmt.Sprintf("file %q does not exist", path)
		e.Hint = "look at the name and at the folder it is taken from"
	case errors.Is(err, fs.ErrPermission):
		e.What = fmt.Sprintf("file %q may not be read by you", path)
		e.Hint = "ask its owner, or copy it to a place of your own"
	default:
		e.Hint = "look at the disk; what was read before is kept"
	}
	return e
}

// cause takes the path off an error that is going to be told with it.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
