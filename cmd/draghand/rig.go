package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"draghand/internal/rig"
)

func rigCommand(w world, c *common) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rig",
		Short: "make and check a rig file",
		Args:  cobra.NoArgs,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(rigNewCommand(w), rigCheckCommand(w, c))
	return cmd
}

func rigNewCommand(w world) *cobra.Command {
	return &cobra.Command{
		Use:     "new",
		Short:   "print a commented example rig file",
		Example: "  draghand rig new > rig.toml",
		Args:    cobra.NoArgs,
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
			if asJSON {
				return printJSON(w.out, r)
			}
			sys, err := c.system(r.Units)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(w.out, clean(r.Describe(sys)))
			return err
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "the resolved rig as JSON, in SI")
	return cmd
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

func printJSON(out interface{ Write([]byte) (int, error) }, v any) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// exactly asks for n operands, in words.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			return failf(exitUsage, "see "+cmd.CommandPath()+" --help", "%s", what)
		}
		return nil
	}
}

// atLeast asks for n operands or more, in words.
func atLeast(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return failf(exitUsage, "see "+cmd.CommandPath()+" --help", "%s", what)
		}
		return nil
	}
}
