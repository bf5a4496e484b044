package tui

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"
)

// RunReplay shows a saved pull until the person leaves or the context ends, with
// the errors of Run. No bell rings. The player is the caller's to close.
func RunReplay(ctx context.Context, p Player, opts Options) error {
	opts = opts.onTerminal()
	opts.Bell = false
	m := newReplayScreen(p, newTheme(opts.Out, opts.NoColor), opts.Units, tea.QuitMsg{})
	m.pull.scratch.plate.ascii = opts.ASCII
	return show(ctx, m, func() Source { return p }, opts)
}
