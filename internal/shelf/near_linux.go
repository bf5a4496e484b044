package shelf

import (
	"bytes"
	"encoding/binary"
	"os"
	"syscall"
)

// inodes are the inode numbers of what stands in a folder, by name: on most file
// systems those that are near lie near. nil: they are not told.
func inodes(dir string) map[string]uint64 {
	f, err := os.Open(dir)
	if err != nil {
		return nil
	}
	defer f.Close()
	out := map[string]uint64{}
	room := make([]byte, 64<<10)
	for {
		n, err := syscall.ReadDirent(int(f.Fd()), room)
		if err == syscall.EINTR {
			continue
		}
		if err != nil || n <= 0 {
			return out
		}
		addInodes(out, room[:n])
	}
}

// addInodes reads what getdents64 gives: of each a number of 8 bytes, 8 that do not
// matter, the length of the whole in 2, a kind of 1, and the name with a 0 behind it.
func addInodes(to map[string]uint64, b []byte) {
	const named = 19
	for len(b) >= named {
		size := int(binary.NativeEndian.Uint16(b[16:]))
		if size < named || size > len(b) {
			return
		}
		name, _, _ := bytes.Cut(b[named:size], []byte{0})
		to[string(name)] = binary.NativeEndian.Uint64(b)
		b = b[size:]
	}
}
