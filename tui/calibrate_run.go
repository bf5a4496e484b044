package tui

import (
	"context"
	"io"
	"sync/atomic"
)

// RunCalibrate shows a calibration run until the person leaves or the context ends,
// with the errors of Run. The calibrator is the caller's to close.
func RunCalibrate(ctx context.Context, cal Calibrator, opts Options) error {
	opts = opts.onTerminal()
	return show(ctx, calibrateApp(cal, opts), func() Source { return nil }, opts)
}

// calibrateApp is an App without a desk: its one screen leads nowhere but to help
// and out.
func calibrateApp(cal Calibrator, opts Options) App {
	a := App{opts: opts, theme: newTheme(opts.Out, opts.NoColor), rings: &atomic.Pointer[belled]{}}
	var ring io.Writer
	if opts.Bell {
		ring = opts.Out
	}
	m := newCalibrateScreen(cal, a.theme, ring)
	m.ascii, m.agreed = opts.ASCII, opts.Agreed
	a.front = m
	return a
}
