package shelf

import (
	"io/fs"
	"syscall"
)

func changeOf(st fs.FileInfo) (changed int64, inode uint64) {
	s, ok := st.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, 0
	}
	return s.Ctim.Nano(), s.Ino
}
