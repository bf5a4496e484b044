package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// leaveLoaded is what leaving the program asks while there is load on the rig:
// nothing watches it then. ctrl+c leaves all the same.
const (
	leaveLoaded = "there is load on the rig and nothing will watch it: leave?  y / n"
	leaveMaybe  = "the rig may be loaded and nothing will watch it: leave?  y / n"
)

// answer is yes or no to a question; not answered by another key.
func answer(msg tea.KeyMsg) (yes, answered bool) {
	k := DefaultPullKeys()
	yes = key.Matches(msg, k.Yes)
	return yes, yes || key.Matches(msg, k.No)
}
