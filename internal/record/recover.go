package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"draghand/internal/pull"
)

// What keeps a record from being recovered beside ErrBusy and the errors of Open.
var (
	ErrClosed    = errors.New("the record is closed already")
	ErrNotIntact = errors.New("the readings cannot be trusted")
)

// Recover closes the record in dir, whose pull was cut off, by what is intact of it:
// its readings as far as they can be read. It is done in one step and under the
// record's lock; samples.csv is not touched. replay carries the readings through the
// engine, once the lock is held, and results gives the results of the record as it
// will be. said tells in one line what it was closed by; it joins the program's remarks
// in the record.
//
// ErrClosed where there is a closing, ErrNotIntact where nothing can be read or where
// lines that can be read are not those that were written: which of them, nobody knows.
// Whatever the error, nothing has changed.
func Recover(dir string, replay func(*Record) (pull.State, error), results func(*Record) (json.RawMessage, error)) (said string, err error) {
	return recoverAt(OS{}, dir, replay, results, time.Now())
}

func recoverAt(fsys FS, dir string, replay func(*Record) (pull.State, error), results func(*Record) (json.RawMessage, error), at time.Time) (said string, err error) {
	h, err := readHead(dir) // before the lock, which makes a file
	if err != nil {
		return "", err
	}
	if h.Closing != nil {
		return "", ErrClosed
	}
	unlock, err := Lock(dir)
	if err != nil {
		return "", fmt.Errorf("recover the record: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	path := filepath.Join(dir, HeadFile)
	text, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("recover the record: %w", err)
	}
	if h, err = decodeHead(path, text); err != nil {
		return "", err
	}
	if h.Closing != nil {
		return "", ErrClosed
	}
	rec := &Record{Dir: dir, Head: h}
	s, damage := replay(rec)
	c := ClosingFrom(s, ByRecovery)
	c.Ended = h.Started.Add(s.T).UTC()
	c.Recovered = &Recovered{At: at.UTC().Round(0)}
	if said, err = c.intact(dir, damage); err != nil {
		return "", err
	}
	rec.Head.Closing = &c
	rec.Head.Remarks = append(rec.Head.Remarks, "the pull was cut off; the record was closed later, "+c.Recovered.At.Format(time.RFC3339)+", "+said)
	out, err := results(rec)
	if err != nil {
		return "", fmt.Errorf("recover the record: %w", err)
	}
	if text, err = withClosing(text, &rec.Head, out); err == nil {
		err = replace(fsys, path, text)
	}
	if err != nil {
		return "", fmt.Errorf("recover the record: %w", err)
	}
	return "closed " + said, nil
}

// intact fills in what of samples.csv is closed, and says what that is. damage is what
// ended the pass over it.
func (c *Closing) intact(dir string, damage error) (said string, err error) {
	r := Check(dir)
	end := r.ReadBytes
	bad, isDamage := errors.AsType[*DamageError](damage)
	switch {
	case damage == nil:
		c.Recovered.Torn = int64(r.TornBytes)
	case isDamage && !bad.Altered:
		end, c.Recovered.Damage = bad.Offset, bad.Reason
	default:
		return "", fmt.Errorf("%w: %w", ErrNotIntact, damage)
	}
	if end == 0 {
		return "", fmt.Errorf("%w: nothing of %s is intact", ErrNotIntact, SamplesFile)
	}
	if err := c.sumUpTo(filepath.Join(dir, SamplesFile), end); err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "by what is intact: %d readings over %.2f s", c.Samples, float64(c.Length))
	switch {
	case c.NeverLoaded:
		b.WriteString(", no load was seen")
	case c.Outcome != "":
		fmt.Fprintf(&b, ", %s", c.Outcome)
	}
	switch {
	case isDamage:
		fmt.Fprintf(&b, "; %v; %d bytes from there on are left out, and left as they are", bad, r.Bytes-end)
	case r.Status == Damaged:
		b.WriteString("; " + strings.Join(r.Reasons, "; "))
	}
	if n := c.Recovered.Torn; n > 0 {
		fmt.Fprintf(&b, "; the last line is torn, its %d bytes are left out", n)
	}
	return b.String(), nil
}

// sumUpTo fills in what a closing says of the first n bytes of samples.csv.
func (c *Closing) sumUpTo(path string, n int64) error {
	f, err := openFile(path)
	if err != nil {
		return fmt.Errorf("recover the record: %w", err)
	}
	defer f.Close()
	sha := sha256.New()
	lines := int64(-1) // the header is none
	buf := make([]byte, readSize)
	for left := n; left > 0; {
		m, err := f.Read(buf[:min(left, int64(len(buf)))])
		sha.Write(buf[:m])
		lines += int64(bytes.Count(buf[:m], []byte{'\n'}))
		left -= int64(m)
		if err != nil && left > 0 {
			return fmt.Errorf("recover the record: read %s: %w", SamplesFile, errors.Join(err, io.ErrUnexpectedEOF))
		}
	}
	c.SamplesBytes, c.SamplesLines, c.SamplesSHA256 = n, lines, hex.EncodeToString(sha.Sum(nil))
	return nil
}

// withClosing puts what a recovery adds into the text of pull.json.
func withClosing(text []byte, h *Head, results json.RawMessage) ([]byte, error) {
	remarks, err := plainJSON(h.Remarks)
	if err != nil {
		return nil, err
	}
	closing, err := plainJSON(h.Closing)
	if err != nil {
		return nil, err
	}
	text, err = withField(text, "remarks", remarks, "imported", "dial", "channels", "said", "finished", "results", "closing")
	if err == nil {
		text, err = withField(text, "results", results, "closing")
	}
	if err == nil {
		text, err = withField(text, "closing", closing)
	}
	return text, err
}
