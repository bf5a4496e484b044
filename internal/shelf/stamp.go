package shelf

import (
	"io/fs"
	"time"
)

// stamp is what the file system says of a pull.json without reading it: two that are
// equal are of the same file with the same bytes, once it is settled.
type stamp struct {
	size     int64
	modified int64 // ns since 1970
	// changed and inode are told on Linux and macOS alone, else 0. They catch what the
	// other two do not: a file with its old time put back (changed cannot be set), or
	// another in its place.
	changed int64 // ns since 1970, of the file or what is known of it
	inode   uint64
}

func stampOf(st fs.FileInfo) stamp {
	s := stamp{size: st.Size(), modified: st.ModTime().UnixNano()}
	s.changed, s.inode = changeOf(st)
	return s
}

// settling is how long a file must have been left alone before its stamp is believed.
// File systems tell times in steps, of some milliseconds to two seconds (FAT): a file
// that was read and then changed again within one step keeps its stamp. One that was
// last changed longer than a step before it was asked for cannot: whatever is done to
// it later has a later time.
const settling = 2 * time.Second

// settled says whether a file was left alone for long enough when it was asked for,
// not before began. One from the future, as of a clock that was wrong, never was.
func (s stamp) settled(began time.Time) bool {
	return max(s.modified, s.changed) < began.Add(-settling).UnixNano()
}
