package record

// blockSize is that of one piece of the backlog: some 2,500 lines.
const blockSize = 64 << 10

// keepFree is how many spare blocks stay for reuse; the rest of a long stall
// goes back to the collector.
const keepFree = 4

// block holds whole lines, never part of one.
type block struct {
	off   int64 // offset in the file of buf[0]
	n     int
	lines int64
	lent  bool // a write may still read it: never to be filled again
	buf   [blockSize]byte
}

// backlog is the end of samples.csv that is not yet known to be on disk. Bytes
// below a block's n never change and never move: they may be read without the
// lock that guards the rest.
type backlog struct {
	blocks []*block // oldest first, joining without a gap
	free   []*block
	end    int64 // offset behind the last byte
	limit  int   // blocks held at most
	held   bool  // nothing may be released now
}

func newBacklog(start int64, limit int64) backlog {
	b := backlog{end: start, limit: int(max(limit/blockSize, 2))}
	for range 2 {
		b.free = append(b.free, new(block))
	}
	return b
}

// base is the lowest offset in memory.
func (b *backlog) base() int64 {
	if len(b.blocks) == 0 {
		return b.end
	}
	return b.blocks[0].off
}

// add takes one line; false when the memory for it is used up.
func (b *backlog) add(line []byte) bool {
	var last *block
	if n := len(b.blocks); n > 0 {
		last = b.blocks[n-1]
	}
	if last == nil || last.n+len(line) > blockSize {
		if len(b.blocks) >= b.limit {
			return false
		}
		if n := len(b.free); n > 0 {
			last, b.free = b.free[n-1], b.free[:n-1]
		} else {
			last = new(block)
		}
		last.off, last.n, last.lines = b.end, 0, 0
		b.blocks = append(b.blocks, last)
	}
	last.n += copy(last.buf[last.n:], line)
	last.lines++
	b.end += int64(len(line))
	return true
}

// from is what is in memory from an offset on, at most to the end of a block.
func (b *backlog) from(off int64) []byte {
	for _, k := range b.blocks {
		if end := k.off + int64(k.n); off < end {
			return k.buf[off-k.off : k.n]
		}
	}
	return nil
}

// release lets go of what lies below an offset, in whole blocks.
func (b *backlog) release(off int64) {
	if b.held {
		return
	}
	n := 0
	// The last block stays even if it is on disk: lines still go there.
	for n < len(b.blocks)-1 && b.blocks[n].off+int64(b.blocks[n].n) <= off {
		n++
	}
	for _, k := range b.blocks[:n] {
		if len(b.free) < keepFree && !k.lent {
			b.free = append(b.free, k)
		}
	}
	left := copy(b.blocks, b.blocks[n:])
	clear(b.blocks[left:])
	b.blocks = b.blocks[:left]
}

// lines counts the lines in memory.
func (b *backlog) lines() (n int64) {
	for _, k := range b.blocks {
		n += k.lines
	}
	return n
}

// lend keeps the blocks in memory from being used again once they are released:
// a write that hangs in a disk left behind may still read any of them.
func (b *backlog) lend() {
	for _, k := range b.blocks {
		k.lent = true
	}
}

// shift moves every offset, for a file in which the same lines stand elsewhere.
func (b *backlog) shift(by int64) {
	for _, k := range b.blocks {
		k.off += by
	}
	b.end += by
}
