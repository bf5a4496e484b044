package record

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// File is what the writer needs of an open file.
type File interface {
	io.Reader
	io.Writer
	Sync() error
	Close() error
}

// FS is what the writer needs of a file system: small, so that a test can put
// a full disk or a slow sync in its place. Options.FS takes one.
type FS interface {
	MkdirAll(path string) error
	Mkdir(path string) error // fs.ErrExist where it is there already
	Open(path string, flag int) (File, error)
	Rename(from, to string) error
	Remove(path string) error
	SyncDir(path string) error // makes names in the folder durable
}

// OS is the file system of the machine.
type OS struct{}

// MkdirAll makes a folder and those above it.
func (OS) MkdirAll(path string) error { return os.MkdirAll(path, 0o755) }

// Mkdir makes one folder.
func (OS) Mkdir(path string) error { return os.Mkdir(path, 0o755) }

// Open opens a file as os.OpenFile does.
func (OS) Open(path string, flag int) (File, error) { return os.OpenFile(path, flag, 0o644) }

// Rename puts from in the place of to.
func (OS) Rename(from, to string) error { return rename(from, to) }

// Remove deletes a file or an empty folder.
func (OS) Remove(path string) error { return os.Remove(path) }

// SyncDir is syncDir.
func (OS) SyncDir(path string) error { return syncDir(path) }

// replace writes a whole file in one step: a reader, or a machine that loses
// power, sees the old text or the new and nothing between. It is done by hand,
// not by google/renameio: that package has no Windows side, and would go past
// the FS that tests inject. The steps are the same: write a file beside, sync
// it, rename it over, sync the folder.
func replace(fsys FS, path string, text []byte) (err error) {
	const fresh = os.O_WRONLY | os.O_CREATE | os.O_EXCL
	tmp := path + ".tmp"
	f, err := fsys.Open(tmp, fresh)
	if errors.Is(err, fs.ErrExist) {
		// A program that was killed left it, or it is a link to a file of others.
		if err = fsys.Remove(tmp); err == nil {
			f, err = fsys.Open(tmp, fresh)
		}
	}
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = fsys.Remove(tmp) // best effort: the first error is the one that tells
		}
	}()
	n, err := f.Write(text)
	if err == nil && n < len(text) {
		err = io.ErrShortWrite
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err = fsys.Rename(tmp, path); err != nil {
		return err
	}
	return fsys.SyncDir(filepath.Dir(path))
}

// openFile opens a file of a record for reading. What is no file is refused: a pipe would
// wait for a writer, and a device may have no end.
func openFile(path string) (*os.File, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !st.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "open", Path: path, Err: errNoFile}
	}
	return os.Open(path)
}

var errNoFile = errors.New("it is no file")

// ErrBusy says that another program holds a record's lock.
var ErrBusy = errors.New("the record is being written by another program")

// lockWithin is how long Lock tries: who asks whether a record is being written holds
// its lock for a moment, as a list does.
const lockWithin = 250 * time.Millisecond

// insist tries for so long to do what another program may hinder for a moment; it fails
// with one of the errors given then.
func insist(within time.Duration, try func() error, hindered ...error) error {
	for end := time.Now().Add(within); ; time.Sleep(within / 50) {
		err := try()
		is := func(one error) bool { return errors.Is(err, one) }
		if !slices.ContainsFunc(hindered, is) || !time.Now().Before(end) {
			return err
		}
	}
}

// Lock takes the lock of the record in dir: two programs never write one
// record. It fails with ErrBusy while another holds it. A lock ends with the
// process that held it, however that ended.
func Lock(dir string) (unlock func() error, err error) {
	f, err := os.OpenFile(filepath.Join(dir, LockFile), os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, err
	}
	if err := insist(lockWithin, func() error { return lockFile(f, true) }, ErrBusy); err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("lock %q: %w", dir, err)
	}
	return f.Close, nil
}

// Busy says whether a program writes the record in dir now, by its lock. It makes no
// file, as Lock does. Where it cannot be found out, it says no.
func Busy(dir string) bool { return writing(dir) }

// writing says whether some program holds the record's lock. Where that cannot
// be found out, it says no: it is a remark for a person, nothing rests on it.
func writing(dir string) bool {
	f, err := openFile(filepath.Join(dir, LockFile))
	if errors.Is(err, fs.ErrNotExist) || err != nil {
		return false
	}
	defer f.Close()
	return errors.Is(lockFile(f, false), ErrBusy)
}
