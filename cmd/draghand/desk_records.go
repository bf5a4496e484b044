package main

import (
	"context"
	"errors"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/trace"
)

var errNotYet = errors.New("not built yet")

// Trace never looks at the sitting: the record has all there is to know.
func (d *desk) Trace(dir string) (*trace.Trace, error) { return trace.ReadFine(dir) }

func (d *desk) Reckon(ctx context.Context, dirs []string, done func(int)) ([]compare.Pull, error) {
	return nil, errNotYet
}

func (d *desk) KeepComparison(c *compare.Comparison) (string, error) { return "", errNotYet }
func (d *desk) Trash(dirs []string) (shelf.Trashed, error)           { return shelf.Trashed{}, errNotYet }
func (d *desk) Untrash(shelf.Trashed) error                          { return errNotYet }
func (d *desk) Relabel(dir string, to record.Label) error            { return errNotYet }
func (d *desk) AddRemark(dir, text string) error                     { return record.AddRemark(dir, text) }
func (d *desk) Recover(dir string) (string, error)                   { return "", errNotYet }
