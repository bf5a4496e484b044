package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"draghand/internal/finish"
	"draghand/internal/record"
)

func recoverCommand(w world, c *common) *cobra.Command {
	return &cobra.Command{
		Use:   "recover RECORD...",
		Short: "close a record whose pull was cut off, by what is intact of it",
		Long: `recover closes a record that was never closed, since the power went or the
program was killed: it goes through the readings that are intact and writes down
how the pull stood at the last of them, with the results. The results are those
that draghand results gave before.

No reading is changed or made up. What is damaged at the end of samples.csv is
named, and stays as it is. Where the head of a record is lost nothing is done:
no rig is guessed.`,
		Example: `  draghand recover M1-4
  draghand check M1-4`,
		Args: atLeast(1, "name a pull record that was cut off"),
		RunE: func(_ *cobra.Command, args []string) error {
			return eachRecord(w, c, args, func(path string) error {
				said, err := finish.Recover(path)
				if err != nil {
					return recoverFault(c, path, err)
				}
				fmt.Fprintf(w.out, "%s: %s\n", oneLine(filepath.Base(path)), clean(said))
				return nil
			})
		},
	}
}

func recoverFault(c *common, path string, err error) error {
	name := filepath.Base(path)
	switch {
	case errors.Is(err, record.ErrClosed):
		return failf(exitUsage, "there is nothing to recover; draghand results says what came out", "%s: %w", name, err)
	case errors.Is(err, record.ErrBusy):
		return failf(exitSave, "end the pull where it is recorded; it is closed then", "%s: %w", name, err)
	case errors.Is(err, finish.ErrDamaged):
		return failf(exitInput, "draghand check says what is intact; nothing has been written", "%s: %w", name, err)
	}
	_, herr := record.HeadOf(path)
	lost, _ := errors.AsType[*record.HeadError](herr)
	switch {
	case herr == nil:
	case lost != nil && lost.Empty:
		return openFault(c, name, herr)
	case errors.Is(herr, record.ErrNewer) || !record.HasSamples(path):
		return openFault(c, name, err)
	default: // no rig is known, and none is guessed
		if errors.Is(herr, fs.ErrNotExist) {
			err = fmt.Errorf("%s: its %s is missing", name, record.HeadFile)
		}
		return failf(exitInput, "its rig stood in "+record.HeadFile+": put that file back from a copy, then recover again; draghand check says what of the readings is intact", "%w", err)
	}
	return failf(exitSave, "see that there is room and leave to write in "+path+"; the record stays as it was", "%w", err)
}
