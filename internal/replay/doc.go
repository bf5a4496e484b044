// Package replay looks at a saved pull again: the record goes through the same
// engine as the live pull did, and a person moves the time.
//
//	pull.json, overview.csv -> first snapshot, at once
//	samples.csv -> pull.Engine -> trace, peak, break, alarms, checkpoints     one pass, behind
//	checkpoint + samples.csv -> pull.Engine -> watch.Snapshot at a position   as the person moves
//
// The pass has a goroutine of its own and so has the position; nothing a screen
// asks waits for either. A checkpoint is a copy of the engine with the place in
// the file that it had come to, so that no seek goes through more than a part of
// the record, whatever its length.
package replay
