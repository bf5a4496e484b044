// Package record keeps a pull on disk and reads it back. docs/pull-record.md
// describes the format byte by byte.
//
// A pull record is a folder:
//
//	pull.json    what was pulled, on what rig; after closing, how it ended
//	samples.csv  one line a reading or mark, append only
//	samples.sum  one line a sync: offset and CRC-32C of all bytes before it
//	lock         held while a program writes
//
// The way of a line, none of it waiting for the one below:
//
//	Append -> memory (until it is on disk) -> write, 20 ms -> fsync, 0.75 s -> samples.sum
//
// Append only copies into memory. A goroutine of its own hands the memory to
// the kernel, another syncs: a slow disk delays neither. What is not known to
// be on disk stays in memory, so that a failed write or sync loses nothing:
// Health says so at once, the pull goes on, and SaveElsewhere writes it all
// into another folder.
//
// The package never alters samples.csv after the fact, never retries a failed
// sync (the kernel may have dropped the bytes and call the next one a
// success), and never guesses at a damaged line: reading stops there and says
// where.
package record
