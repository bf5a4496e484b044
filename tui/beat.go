package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/si"
	"draghand/internal/watch"
)

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

// replayOf opens the replay of a record outside Update. What comes of it goes to who
// shows replays; should nobody want it any more, it is closed there.
func replayOf(desk Desk, dir string) tea.Cmd {
	return func() tea.Msg {
		p, err := desk.Replay(dir, "")
		if err != nil {
			return shelfNotOpened{err}
		}
		return openReplay{p}
	}
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

// column writes text from the top of a plate down, a line under the other: the
// screens of a terminal too small for what they draw.
type column struct {
	p *plate
	y int // the next line
}

// say writes at most so many lines.
func (c *column) say(t string, k ink, most int) {
	for _, l := range wrap(t, c.p.w, most) {
		c.p.text(0, c.y, c.p.w, l, k)
		c.y++
	}
}

// alerts are what must be read first, each of at most room cells.
func (c *column) alerts(look *watch.Snapshot, u si.System, room int) {
	lines, inks := alerts(look, u, room)
	for i, l := range lines {
		c.say(l, inks[i], 2)
	}
}
