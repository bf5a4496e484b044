package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/rig"
	"draghand/internal/si"
)

func rigCommand(w world, c *common) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rig",
		Short: "make and check a rig file",
		Example: `  draghand rig new > rig.toml
  draghand rig check rig.toml`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(rigNewCommand(w), rigCheckCommand(w, c))
	return cmd
}

func rigNewCommand(w world) *cobra.Command {
	return &cobra.Command{
		Use:     "new",
		Short:   "print a commented example rig file",
		Example: "  draghand rig new > rig.toml",
		Args:    none,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprint(w.out, rig.Example())
			return err
		},
	}
}

func rigCheckCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "check FILE",
		Short:   "print a rig file as understood, or every fault in it",
		Example: "  draghand rig check rig.toml",
		Args:    exactly(1, "name one rig file"),
		RunE: func(_ *cobra.Command, args []string) error {
			r, err := loadRig(args[0])
			if err != nil {
				return err
			}
			sys, err := c.system(r.Units)
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(w.out, rigJSON{r, r.Derive(sys)})
			}
			other := map[si.System]si.System{si.US: si.Metric, si.Metric: si.US}[sys]
			fmt.Fprintf(w.out, "%s\nin the other units: --units %s\n", strings.TrimSpace(clean(r.Describe(sys))), other)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "the resolved rig, and under derived what follows from it, as JSON in SI")
	return cmd
}

// rigJSON is the rig as a record keeps it, and what follows from it.
type rigJSON struct {
	*rig.Rig
	Derived rig.Derived `json:"derived"`
}

// loadRig reads a rig file and says what to do where it cannot.
func loadRig(name string) (*rig.Rig, error) {
	r, err := rig.Load(name)
	var faults *rig.FileError
	switch {
	case err == nil:
		return r, nil
	case errors.As(err, &faults):
		return nil, failf(exitInput, "correct the rig file and call draghand rig check again; docs/rig-file.md explains every key", "%w", err)
	case errors.Is(err, fs.ErrNotExist):
		return nil, failf(exitInput, "name the file by its path, or make one: draghand rig new > rig.toml", "%w", err)
	default:
		return nil, failf(exitInput, "see that the file can be read", "%w", err)
	}
}
