package record

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"
)

// prover reads samples.csv and holds it against its sums on the way.
type prover struct {
	src   io.Reader
	marks []sumMark
	limit int64 // bytes the SHA-256 is of, −1: none

	off     int64
	crc     uint32
	sha     hash.Hash
	next    int // marks before it are passed
	matched int // index of the last mark that matched, −1: none
	wrong   int // marks that did not match and were passed by one that did
}

func newProver(src io.Reader, marks []sumMark, c *Closing) *prover {
	p := &prover{src: src, marks: marks, limit: -1, sha: sha256.New(), matched: -1}
	if c != nil {
		p.limit = c.SamplesBytes
	}
	p.compare() // a mark at 0
	return p
}

// altered says after a whole pass whether the bytes are those that were written;
// nil where they are. Sums that are damaged themselves do not matter where the
// closing proves the readings.
func (p *prover) altered(c *Closing) error {
	if c == nil || c.Recovered != nil {
		p.marks = p.marks[:p.next] // what the end of a lost machine took away is missing, not altered
	}
	r := Report{Status: Whole, Bytes: p.off, ProvenBytes: p.proven()}
	r.judge(p, c)
	if r.BadByte == nil {
		return nil
	}
	return &DamageError{Offset: *r.BadByte, Reason: r.Reasons[len(r.Reasons)-1], Altered: true}
}

// alteredBefore is altered of the bytes before an offset that was passed, by the marks
// up to there.
func (p *prover) alteredBefore(off int64) error {
	last := p.next - 1
	for last >= 0 && p.marks[last].off > off {
		last--
	}
	if p.matched >= last { // or a later one matches: then all before it are as written
		return nil
	}
	return &DamageError{Offset: p.proven(), Reason: p.between(), Altered: true}
}

// between says where what was written ends, where a mark does not match.
func (p *prover) between() string {
	return fmt.Sprintf("between byte %d and byte %d something is not as it was written", p.proven(), p.marks[p.matched+1].off)
}

// Read reads on. A mark is compared when the last byte before it is in.
func (p *prover) Read(b []byte) (int, error) {
	n, err := p.src.Read(b)
	b = b[:n]
	if left := p.limit - p.off; left > 0 {
		p.sha.Write(b[:min(left, int64(n))])
	}
	for len(b) > 0 {
		part := b
		if p.next < len(p.marks) {
			part = b[:min(int64(len(b)), p.marks[p.next].off-p.off)]
		}
		p.crc = crc32.Update(p.crc, castagnoli, part)
		p.off += int64(len(part))
		b = b[len(part):]
		p.compare()
	}
	return n, err
}

func (p *prover) compare() {
	for p.next < len(p.marks) && p.marks[p.next].off == p.off {
		if p.marks[p.next].crc == p.crc {
			p.wrong = p.next - p.matched - 1 + p.wrong
			p.matched = p.next
		}
		p.next++
	}
}

// proven is the offset before which every byte is as written.
func (p *prover) proven() int64 {
	if p.matched < 0 {
		return 0
	}
	return p.marks[p.matched].off
}

// pass reads samples.csv once, as lines and as bytes.
func (r *Report) pass(path string, marks []sumMark, c *Closing) {
	f, err := openFile(path)
	if err != nil {
		r.damaged("%s is missing or cannot be read: %v", SamplesFile, err)
		return
	}
	defer f.Close()
	p := newProver(f, marks, c)
	rs := NewReadings(p)
	at := make([]int64, 0, len(marks)) // whole lines before each mark
	reached := func() {
		for len(at) < len(marks) && marks[len(at)].off <= rs.off {
			lines := r.Lines
			if marks[len(at)].off < rs.off {
				lines-- // it lies inside the line
			}
			at = append(at, max(lines, 0))
		}
	}
	for rs.Next() {
		r.Lines++
		reached()
	}
	reached()
	r.ReadBytes, r.TornBytes = rs.off, rs.torn
	bad, isDamage := errors.AsType[*DamageError](rs.Err())
	if isDamage {
		r.badFrom(bad.Offset)
		r.damaged("%v", bad)
	}
	_, err = io.Copy(io.Discard, p)
	if !isDamage {
		err = errors.Join(rs.Err(), err)
	}
	if err != nil {
		r.badFrom(p.off)
		r.damaged("%v", err)
	}
	r.Bytes = p.off
	r.ProvenBytes = p.proven()
	if p.matched >= 0 {
		r.ProvenLines = r.Lines
		if p.matched < len(at) {
			r.ProvenLines = at[p.matched]
		}
	}
	r.judge(p, c)
}

// judge draws the conclusions of a pass.
func (r *Report) judge(p *prover, c *Closing) {
	if p.wrong > 0 {
		r.damaged("%d lines of %s do not match, though later ones do: that file is damaged, not the readings", p.wrong, SumFile)
	}
	if p.next < len(p.marks) {
		r.badFrom(p.proven())
		r.damaged("%s ends at byte %d, it had %d", SamplesFile, p.off, p.marks[len(p.marks)-1].off)
	}
	if p.matched < p.next-1 {
		r.badFrom(p.proven())
		r.damaged("%s", p.between())
	}
	if c == nil {
		return
	}
	r.SHA256 = "mismatch"
	if p.off >= c.SamplesBytes && hex.EncodeToString(p.sha.Sum(nil)) == c.SamplesSHA256 {
		r.SHA256 = "match"
	}
	switch {
	case r.SHA256 == "match":
		r.ProvenBytes = c.SamplesBytes
		if r.ReadBytes <= c.SamplesBytes {
			r.ProvenLines = r.Lines
		}
		switch more := p.off - c.SamplesBytes; {
		case more > 0 && c.spoilt():
			r.badFrom(c.SamplesBytes)
			r.damaged("%d bytes at the end were damaged when the record was recovered, and are left out; all before are as they were then", more)
		case more > c.torn():
			r.badFrom(c.SamplesBytes)
			r.damaged("%d bytes were added after closing; all before are as written", more-c.torn())
		case more < c.torn():
			r.badFrom(c.SamplesBytes)
			r.damaged("%d bytes of the torn last line are gone since closing; all before are as written", c.torn()-more)
		}
	case p.off < c.SamplesBytes:
		r.badFrom(min(p.proven(), p.off))
		r.damaged("%s has %d bytes, at closing it had %d", SamplesFile, p.off, c.SamplesBytes)
	default:
		if p.proven() < c.SamplesBytes {
			r.badFrom(p.proven())
		}
		r.damaged("the SHA-256 of %s is not that of its closing", SamplesFile)
	}
	if r.SHA256 == "match" && p.off == c.SamplesBytes+c.torn() && r.Lines != c.SamplesLines {
		r.damaged("%d lines can be read, at closing there were %d", r.Lines, c.SamplesLines)
	}
}
