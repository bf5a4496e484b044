package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// SamplesSum is the SHA-256 of the readings, in hexadecimal: that of the closing, or
// of all whole lines of samples.csv where the pull was not closed. Copies of a record
// have it in common, whatever they are called. The error is that of reading them.
func (r *Record) SamplesSum() (string, error) {
	if c := r.Head.Closing; c != nil && c.SamplesSHA256 != "" {
		return c.SamplesSHA256, nil
	}
	f, err := openFile(filepath.Join(r.Dir, SamplesFile))
	if err != nil {
		return "", fmt.Errorf("read the readings of %s: %w", r.Name(), err)
	}
	defer f.Close()
	sha, buf, torn := sha256.New(), make([]byte, readSize), []byte(nil)
	for {
		n, err := f.Read(buf)
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			sha.Write(torn)
			sha.Write(buf[:i+1])
			torn = append(torn[:0], buf[i+1:n]...)
		} else {
			torn = append(torn, buf[:n]...)
		}
		switch {
		case errors.Is(err, io.EOF):
			return hex.EncodeToString(sha.Sum(nil)), nil
		case err != nil:
			return "", fmt.Errorf("read the readings of %s: %w", r.Name(), err)
		case len(torn) > maxTorn:
			return "", fmt.Errorf("read the readings of %s: a line has no end", r.Name())
		}
	}
}

// maxTorn bounds a line without an end that is kept until its end comes.
const maxTorn = 1 << 20

// The words of replacedBy, of which FirstLabel looks for some.
const (
	labelAnew  = "labelled anew: "
	meltIs     = "the melt is "
	specimenIs = "the specimen is "
	tagsWere   = "the tags were "
	noTags     = "it had no tags"
	wasCalled  = ", it was called "
	clauseEnd  = "; "
	calledNone = "none"
)

// IsLabel says that a remark is one of Relabel: what the bar was called before.
func (s Said) IsLabel() bool { return strings.HasPrefix(s.Text, labelAnew) }

// FirstLabel is what the specimen and its melt were called when the record was made,
// before Relabel gave them other names.
func (h *Head) FirstLabel() (id, melt string) {
	return h.firstly(specimenIs, h.Specimen.ID), h.firstly(meltIs, h.Specimen.Melt)
}

// firstly is the name before the first change told by a clause that begins with some
// words; now where there was none.
func (h *Head) firstly(begin, now string) string {
	for _, s := range h.Said {
		rest, ok := strings.CutPrefix(s.Text, labelAnew)
		if !ok {
			continue
		}
		for _, c := range clauses(rest) {
			rest, ok := strings.CutPrefix(c, begin)
			if i := strings.LastIndex(rest, wasCalled); ok && i >= 0 {
				if was := rest[i+len(wasCalled):]; was != calledNone {
					return was
				}
				return ""
			}
		}
	}
	return now
}

// clauses are those of a remark on a label, in their order: melt, specimen, tags. Tags
// may hold any words: nothing is looked for behind them.
func clauses(text string) (out []string) {
	for _, next := range []string{specimenIs, tagsWere, noTags} {
		if strings.HasPrefix(text, tagsWere) {
			break
		}
		if i := strings.Index(text, clauseEnd+next); i >= 0 {
			out, text = append(out, text[:i]), text[i+len(clauseEnd):]
		}
	}
	return append(out, text)
}
