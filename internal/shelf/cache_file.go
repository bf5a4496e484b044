package shelf

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// A cache is a line with its kind, version and key; then of each entry the name of its
// folder, the stamp and the JSON; then the CRC-32C of all before. Numbers are
// little-endian, lengths are varints.

// cacheVersion grows when what stands in an entry is reckoned in another way.
const cacheVersion = "draghand shelf cache 3 "

const (
	stampLen = 4 * 8
	sumLen   = 4
)

func cacheSum(b []byte) uint32 { return crc32.Checksum(b, crc32.MakeTable(crc32.Castagnoli)) }

// encodeCache writes the entries that have a text.
func encodeCache(key string, names []string, entries []held) []byte {
	size := 0
	for i := range entries {
		size += len(names[i]) + len(entries[i].text) + stampLen + 8
	}
	b := make([]byte, 0, len(cacheVersion)+len(key)+1+size+sumLen)
	b = append(b, cacheVersion+key+"\n"...)
	for i, k := range entries {
		if k.text == nil {
			continue
		}
		b = append(binary.AppendUvarint(b, uint64(len(names[i]))), names[i]...)
		for _, v := range []uint64{uint64(k.stamp.size), uint64(k.stamp.modified), uint64(k.stamp.changed), k.stamp.inode} {
			b = binary.LittleEndian.AppendUint64(b, v)
		}
		b = append(binary.AppendUvarint(b, uint64(len(k.text))), k.text...)
	}
	return binary.LittleEndian.AppendUint32(b, cacheSum(b))
}

// decodeCache reads a cache; nil where it is not whole, or not of this key. What it
// gives points into b.
func decodeCache(b []byte, key string) map[string]held {
	head := cacheVersion + key + "\n"
	if len(b) < len(head)+sumLen || !bytes.HasPrefix(b, []byte(head)) {
		return nil
	}
	end := len(b) - sumLen
	if binary.LittleEndian.Uint32(b[end:]) != cacheSum(b[:end]) {
		return nil
	}
	b = b[len(head):end]
	out := make(map[string]held, len(b)/512)
	for len(b) > 0 {
		name, ok := piece(&b)
		if !ok || len(b) < stampLen {
			return nil
		}
		var v [4]uint64
		for i := range v {
			v[i] = binary.LittleEndian.Uint64(b[8*i:])
		}
		b = b[stampLen:]
		text, ok := piece(&b)
		if !ok {
			return nil
		}
		out[string(name)] = held{stamp{int64(v[0]), int64(v[1]), int64(v[2]), v[3]}, text}
	}
	return out
}

// piece takes what has its length before it off b.
func piece(b *[]byte) ([]byte, bool) {
	n, used := binary.Uvarint(*b)
	if used <= 0 || n > uint64(len(*b)-used) {
		return nil, false
	}
	p := (*b)[used : used+int(n)]
	*b = (*b)[used+int(n):]
	return p, true
}
