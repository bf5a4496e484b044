package record

import (
	"bytes"
	"errors"
	"io"
	"path/filepath"
	"strconv"
)

// sumMark is one line of samples.sum.
type sumMark struct {
	off int64
	crc uint32
}

// maxSum bounds what is read of a samples.sum: a sync a second for a week.
const maxSum = 16 << 20

// readSum reads the samples.sum of a record. A last line without its end is
// left out: it was being written. bad is the number of the first line that is
// none, 0 where all are.
func readSum(dir string) (marks []sumMark, bad int, err error) {
	f, err := openFile(filepath.Join(dir, SumFile))
	if err != nil {
		return nil, 0, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxSum+1))
	if err != nil {
		return nil, 0, err
	}
	if len(text) > maxSum {
		return nil, 0, errors.New("it is too large to be one")
	}
	marks, bad = parseSum(text)
	return marks, bad, nil
}

// parseSum reads lines until one that appendSum would not have written, or
// whose offset does not grow.
func parseSum(text []byte) (marks []sumMark, bad int) {
	last := int64(-1)
	for n := 1; ; n++ {
		line, rest, whole := bytes.Cut(text, []byte{'\n'})
		if !whole {
			return marks, 0
		}
		o, c, _ := bytes.Cut(line, []byte{' '})
		off, err1 := strconv.ParseInt(string(o), 10, 64)
		crc, err2 := strconv.ParseUint(string(c), 16, 32)
		if err1 != nil || err2 != nil || off <= last || !bytes.Equal(appendSum(nil, off, uint32(crc)), text[:len(line)+1]) {
			return marks, n
		}
		marks = append(marks, sumMark{off, uint32(crc)})
		last, text = off, rest
	}
}
