package feed

import (
	"bytes"
	"time"
)

const (
	// keptFor is for how long bytes are kept for a pull that is armed after they
	// came. A zero takes 2 s of quiet; the rest is for a slow hand.
	keptFor = 5 * time.Second
	// keptBytes is the most that is kept, and chunkCost what a chunk takes beside
	// its bytes.
	keptBytes = 1 << 20
	chunkCost = 96
)

func cost(c Chunk) int { return len(c.Data) + chunkCost }

// kept is the newest data of a source. The zero value is empty; what comes first
// may be the end of a line.
type kept struct {
	chunks []Chunk // with bytes of their own that nobody changes
	bytes  int
	before byte // the byte before the first chunk; 0 where it is not known
}

// restart drops what is kept: the next byte may be in the middle of a line, or
// begins one.
func (k *kept) restart(torn bool) {
	*k = kept{}
	if !torn {
		k.before = '\n'
	}
}

// add keeps a copy of a chunk of data and drops what is too old or too much.
func (k *kept) add(c Chunk) Chunk {
	c.Data = bytes.Clone(c.Data)
	k.chunks = append(k.chunks, c)
	k.bytes += cost(c)
	n := 0
	for ; n < len(k.chunks) && (k.bytes > keptBytes || c.At.Sub(k.chunks[n].At) > keptFor); n++ {
		k.bytes -= cost(k.chunks[n])
		if data := k.chunks[n].Data; len(data) > 0 {
			k.before = data[len(data)-1]
		}
		k.chunks[n] = Chunk{}
	}
	k.chunks = k.chunks[n:]
	return c
}

// since is what arrived within a time before now. Where it begins with a whole line, the line end
// before that comes first, since whoever joins drops the bytes through the first
// line end.
func (k *kept) since(now time.Time, before time.Duration) []Chunk {
	first, last := 0, k.before
	for ; first < len(k.chunks) && now.Sub(k.chunks[first].At) > before; first++ {
		if data := k.chunks[first].Data; len(data) > 0 {
			last = data[len(data)-1]
		}
	}
	if first == len(k.chunks) {
		return nil
	}
	var out []Chunk
	if last == '\n' || last == '\r' {
		out = append(out, Chunk{Kind: Data, At: k.chunks[first].At, Data: []byte{last}})
	}
	return append(out, k.chunks[first:]...)
}
