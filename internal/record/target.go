package record

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
)

// castagnoli is the polynomial of CRC-32C (RFC 3720, appendix B.4).
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// maxSame is how many records of one name are made before giving up.
const maxSame = 1000

// target is one folder that is being written. A writer has one, or another
// after SaveElsewhere; each has goroutines of its own, so that one stuck in a
// dead disk stops nothing else.
type target struct {
	fs     FS
	dir    string
	csv    File
	sum    File
	unlock func() error

	io  sync.Mutex // one write to csv at a time; guards crc and sha
	crc uint32     // of everything written
	sha hash.Hash

	syncing sync.Mutex // one sync at a time

	// Guarded by Writer.mu.
	written   int64 // bytes handed to the kernel
	synced    int64 // bytes known to be on disk
	syncedCRC uint32
	err       error // the first failure; nothing is written after it
	late      error // it did not answer in time; it may yet

	// Of closing it, guarded by Writer.mu too.
	ended  chan struct{} // nil: it is open; closed: end is through
	over   bool          // end is through
	result error         // what Close returns then

	kick chan struct{} // there is something to write
	now  chan struct{} // sync without waiting
	quit chan struct{}
	done sync.WaitGroup
}

// trouble is what is wrong with the target. The caller holds Writer.mu.
func (t *target) trouble() error {
	if t.err != nil {
		return t.err
	}
	return t.late
}

// makeTarget makes a new record folder on the shelf, with its head, the first
// line of its samples and their first sum, all of it on disk on return.
func makeTarget(fsys FS, shelf string, h Head) (t *target, err error) {
	text, err := encodeHead(h)
	if err != nil {
		return nil, err
	}
	if err := fsys.MkdirAll(shelf); err != nil {
		return nil, fmt.Errorf("make the folder of the records: %w", err)
	}
	dir, err := makeFolder(fsys, filepath.Join(shelf, folderName(h)))
	if err != nil {
		return nil, fmt.Errorf("make a folder for the record: %w", err)
	}
	t = &target{
		fs: fsys, dir: dir, sha: sha256.New(),
		kick: make(chan struct{}, 1), now: make(chan struct{}, 1), quit: make(chan struct{}),
	}
	defer func() {
		if err != nil {
			t.discard()
			err = fmt.Errorf("begin a record: %w", err)
		}
	}()
	if t.unlock, err = Lock(dir); err != nil {
		return t, err
	}
	const fresh = os.O_WRONLY | os.O_CREATE | os.O_EXCL | os.O_APPEND
	if t.csv, err = fsys.Open(filepath.Join(dir, SamplesFile), fresh); err != nil {
		return t, err
	}
	if t.sum, err = fsys.Open(filepath.Join(dir, SumFile), fresh); err != nil {
		return t, err
	}
	if t.written, err = t.write(headerLine(h.Channels)); err != nil {
		return t, err
	}
	if err = t.prove(t.written, t.crc); err != nil {
		return t, err
	}
	t.synced, t.syncedCRC = t.written, t.crc
	// replace syncs the folder, and with it the names of all files in it.
	if err = replace(fsys, filepath.Join(dir, HeadFile), text); err != nil {
		return t, err
	}
	return t, fsys.SyncDir(shelf)
}

// makeFolder makes the folder, or the first of path-2, path-3 … that is free.
func makeFolder(fsys FS, path string) (string, error) {
	name := path
	for n := 2; ; n++ {
		err := fsys.Mkdir(name)
		if err == nil {
			return name, nil
		}
		if !errors.Is(err, fs.ErrExist) || n > maxSame {
			return "", err
		}
		name = path + "-" + strconv.Itoa(n)
	}
}

// discard takes a folder back that could not be begun.
func (t *target) discard() {
	_ = t.close() // the error that brought us here is the one to report
	for _, name := range []string{HeadFile, SamplesFile, SumFile, LockFile} {
		_ = t.fs.Remove(filepath.Join(t.dir, name))
	}
	_ = t.fs.Remove(t.dir)
}

// write hands bytes to the kernel, hashes those it took and says how many. The
// caller holds t.io, or is alone with t, and counts them in t.written.
func (t *target) write(b []byte) (int64, error) {
	n, err := t.csv.Write(b)
	n = min(max(n, 0), len(b))
	if err == nil {
		err = short(n, len(b))
	}
	t.crc = crc32.Update(t.crc, castagnoli, b[:n])
	t.sha.Write(b[:n])
	if err != nil {
		err = fmt.Errorf("write %s: %w", SamplesFile, err)
	}
	return int64(n), err
}

// prove syncs samples.csv and adds a line to samples.sum: the bytes before the
// offset are on disk and have this CRC. The caller notes it in t.synced.
func (t *target) prove(off int64, crc uint32) error {
	if err := t.csv.Sync(); err != nil {
		return fmt.Errorf("sync %s: %w; what was written since the sync before is suspect", SamplesFile, err)
	}
	line := appendSum(nil, off, crc)
	if n, err := t.sum.Write(line); err != nil || n < len(line) {
		return fmt.Errorf("write %s: %w", SumFile, errors.Join(err, short(n, len(line))))
	}
	return nil
}

// short is the error of a write that took less than it was given and says
// nothing.
func short(n, want int) error {
	if n < want {
		return io.ErrShortWrite
	}
	return nil
}

// close closes the files and gives the lock back.
func (t *target) close() error {
	var errs []error
	for _, f := range []File{t.csv, t.sum} {
		if f != nil {
			errs = append(errs, f.Close())
		}
	}
	if t.unlock != nil {
		errs = append(errs, t.unlock())
	}
	t.csv, t.sum, t.unlock = nil, nil, nil
	return errors.Join(errs...)
}

// appendSum adds one line of samples.sum: the offset in decimal, a space, the
// CRC in eight hexadecimal digits.
func appendSum(dst []byte, off int64, crc uint32) []byte {
	dst = strconv.AppendInt(dst, off, 10)
	dst = append(dst, ' ')
	const hex = "0123456789abcdef"
	for s := 28; s >= 0; s -= 4 {
		dst = append(dst, hex[crc>>s&15])
	}
	return append(dst, '\n')
}
