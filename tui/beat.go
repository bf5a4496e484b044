package tui

import tea "github.com/charmbracelet/bubbletea"

// beat takes what every screen of a sitting takes alike: a size, a wake-up, and its
// own tick, after which another is due. A tick of before counts for nothing. taken
// is false where the message is the screen's own.
func beat(msg tea.Msg, width, height, tickID *int, load func()) (ticked, taken bool) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		*width, *height = msg.Width, msg.Height
	case EdgeMsg:
		load()
	case tickMsg:
		if msg.id != *tickID {
			return false, true
		}
		*tickID++
		load()
		return true, true
	default:
		return false, false
	}
	return false, true
}

// framed draws a frame: the whole screen where there is room for it, else the
// small one.
func (s *scratch) framed(width, height int, t *theme, whole, small func(*plate)) string {
	if width <= 0 || height <= 0 {
		return ""
	}
	p := &s.plate
	p.reset(width, height)
	if width < minWidth || height < minHeight {
		small(p)
	} else {
		whole(p)
	}
	return p.frame(t)
}
