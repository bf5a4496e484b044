package watch

import (
	"strings"
	"time"

	"draghand/internal/pull"
)

// Told is one notable thing of a pull, for a list of them.
type Told struct {
	T     time.Duration // since the record's start
	Kind  EventKind
	Level pull.Level // of an alarm raised; Quiet for the rest
	Text  string     // a sentence or a part of one
}

// storyLength is how many things a snapshot tells: more than a screen lists.
const storyLength = 64

// note adds an event to the story, if a person may want to read of it later.
// Snapshots share the story's memory: what one of them has is never written again.
func (w *Watch) note(e Event) {
	t, ok := ToldOf(e)
	if !ok {
		return
	}
	w.storyMu.Lock()
	defer w.storyMu.Unlock()
	w.story = append(w.story[max(0, len(w.story)-storyLength+1):], t)
}

// notes is the story so far, not to be changed.
func (w *Watch) notes() []Told {
	w.storyMu.Lock()
	defer w.storyMu.Unlock()
	return w.story[:len(w.story):len(w.story)]
}

// ToldOf puts an event into words; false where it is none for the story.
func ToldOf(e Event) (Told, bool) {
	t := Told{T: e.T, Kind: e.Kind, Text: e.Text}
	switch pull.EventKind(e.Kind) {
	case pull.EvPeak:
		return t, false
	case pull.EvPhase:
		if !strings.HasPrefix(t.Text, string(e.Phase)) { // else the same and more
			t.Text = string(e.Phase)
		}
	case pull.EvAlarm:
		switch a := e.Alarm; {
		case a == nil:
		case a.Returned:
			t.Text = "no longer: " + t.Text
		case a.Acknowledged:
			t.Text = "acknowledged: " + t.Text
		default:
			t.Level = levelOf(a.Level)
		}
	case pull.EvBreak:
		t.Text = "break"
		if e.Provisional {
			t.Text += " (not certain yet)"
		}
	case pull.EvLost:
		t.Text = "force out of sight: " + t.Text
	case pull.EvBack:
		t.Text = "force in sight again"
	}
	switch e.Kind {
	case Armed, Saved, Ended:
		return t, false
	}
	return t, t.Text != ""
}

func levelOf(token string) pull.Level {
	for _, l := range [...]pull.Level{pull.Caution, pull.Warning, pull.Stop} {
		if l.String() == token {
			return l
		}
	}
	return pull.Quiet
}
