package replay

import "time"

// Playback is where a saved pull is being looked at.
type Playback struct {
	At, Length time.Duration // position; of the whole record
	Playing    bool
	Speed      float64       // 0.1 to 100
	Known      time.Duration // how far the engine has been through the record; Length once through
	Peak       time.Duration // of the drag hand; negative: none
	Break      time.Duration // of the break; negative: none
	Alarms     []time.Duration
	Rig        string // file it is recomputed with; empty: the record's own
	Err        string // damage, in words; what is before it is shown

	Line, Lines int    // lines of the record up to the position; of the whole record, 0 until known
	Seeking     bool   // the position is in a part that is still to be read
	Unfinished  bool   // the record was never closed
	Note        string // why the last wish changed nothing; empty while it did
}

// Transport is a wish about a Player.
type Transport struct {
	Do TransportKind
	To time.Duration // of SeekTo; of SeekBy: from the position, negative back
	By float64       // of Faster: factor of the speed; of Step: readings, negative back
}

// TransportKind is what is wished for.
type TransportKind uint8

// The wishes.
const (
	PlayPause TransportKind = iota
	Step
	SeekTo
	SeekPeak
	SeekBreak
	SeekNextAlarm
	SeekStart
	SeekEnd
	Faster
	SeekBy
)
