package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"draghand/internal/compare"
	"draghand/internal/finish"
	"draghand/internal/record"
	reports "draghand/internal/report"
	"draghand/internal/si"
	"draghand/internal/trace"
)

// reportComparison writes the report of a comparison.
func reportComparison(ctx context.Context, out io.Writer, c *compare.Comparison, sys si.System, at time.Time) error {
	traces, err := tracesOf(ctx, c)
	if err != nil {
		return err
	}
	return reports.Batch(out, c, traces, reports.Options{Units: sys, Program: "draghand " + version(), Made: at})
}

// tracesOf are the traces that the report draws, of several groups at once. A pull
// whose trace cannot be read is in the report without one.
func tracesOf(ctx context.Context, c *compare.Comparison) ([]*trace.Trace, error) {
	of := make([][]*trace.Trace, min(len(c.Groups), reports.MostGroups))
	err := finish.Each(ctx, len(of), 0, func(i int) {
		g := &c.Groups[i]
		for _, some := range [][]compare.Pull{g.Pulls, g.Censored} {
			for j := range some {
				if len(of[i]) == reports.MostTraces || ctx.Err() != nil {
					return
				}
				if some[j].ByEye || some[j].Dir == "" {
					continue
				}
				if t, err := trace.ReadFine(some[j].Dir); err == nil && t.Loaded > 0 {
					of[i] = append(of[i], t)
				}
			}
		}
	})
	var out []*trace.Trace
	for _, some := range of {
		out = append(out, some...)
	}
	return out, err
}

// mostBeside bounds how many reports of one minute stand beside each other.
const mostBeside = 1000

// keepComparison writes the report into a folder, under a name that tells when and
// that no other file has, and gives its path.
func keepComparison(c *common, of *compare.Comparison, dir string, at time.Time) (string, error) {
	sys, err := c.system(unitsOf(of))
	if err != nil {
		return "", err
	}
	var page strings.Builder
	if err := reportComparison(context.Background(), &page, of, sys, at); err != nil {
		return "", err
	}
	stem := "comparison-" + at.Local().Format("2006-01-02-1504")
	for n := 1; n <= mostBeside; n++ {
		name := stem + ".html"
		if n > 1 {
			name = fmt.Sprintf("%s-%d.html", stem, n)
		}
		path, err := filepath.Abs(filepath.Join(dir, name))
		if err != nil {
			return "", fmt.Errorf("the report was not saved: %w", err)
		}
		switch err := writeNew(path, page.String()); {
		case err == nil:
			return path, nil
		case !errors.Is(err, fs.ErrExist):
			return "", fmt.Errorf("the report was not saved: %w: start draghand in a folder that may be written to", err)
		}
	}
	return "", fmt.Errorf("the report was not saved: %s has %d of this minute: wait for the next", dir, mostBeside)
}

// unitsOf are the units of the rig that the first of the pulls was pulled on.
func unitsOf(c *compare.Comparison) si.System {
	for i := range c.Groups {
		for _, some := range [][]compare.Pull{c.Groups[i].Pulls, c.Groups[i].Censored} {
			for j := range some {
				if h, err := record.HeadOf(some[j].Dir); err == nil && h.Rig != nil {
					return h.Rig.Units
				}
			}
		}
	}
	return si.US
}
