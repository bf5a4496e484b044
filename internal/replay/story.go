package replay

import (
	"strings"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// storyLength is how many things a snapshot tells, as a live pull's does.
const storyLength = 64

// newest are the last things told up to a position.
func newest(story []told) []watch.Told {
	story = story[max(0, len(story)-storyLength):]
	out := make([]watch.Told, len(story))
	for i := range story {
		out[i] = story[i].Told
	}
	return out
}

// remark is the newest remark of the engine up to a position. As in a live pull,
// one made while a proof is held says nothing.
func remark(story []told) string {
	holding := false
	text := ""
	for _, t := range story {
		switch pull.EventKind(t.Kind) {
		case pull.EvPhase:
			holding = strings.HasPrefix(t.Text, string(pull.Holding))
		case pull.EvRemark:
			if !holding {
				text = t.Text
			}
		}
	}
	return text
}

// advice is what the engine asks of the person beside what it says.
var advice = [...]string{
	": release the pressure, then acknowledge", "; release the pressure before acknowledging", ": stop pumping",
	": be ready to stop pumping", ": pump more slowly or stop",
}

// past is a sentence of the engine without its advice: it was for the person who
// stood at the rig then.
func past(text string) string {
	for _, a := range advice {
		text = strings.ReplaceAll(text, a, "")
	}
	return text
}
