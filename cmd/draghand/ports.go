package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"draghand/internal/feed"
)

func portsCommand(w world) *cobra.Command {
	return &cobra.Command{
		Use:   "ports",
		Short: "list the serial ports (not while a pull is recorded)",
		Long: `ports lists the serial ports of this computer. Do not call it while a pull is
recorded: on some systems looking at a port changes its settings.`,
		Example: `  draghand ports
  draghand watch --rig rig.toml --from serial:/dev/ttyACM0`,
		Args: none,
		RunE: func(*cobra.Command, []string) error {
			names, err := feed.Ports()
			if err != nil {
				return failf(exitSource, "name the port by its path", "%w", err)
			}
			if len(names) == 0 {
				fmt.Fprintln(w.err, "draghand: no serial port is there; plug the board in and look again")
			}
			for _, n := range names {
				fmt.Fprintln(w.out, clean(n))
			}
			return nil
		},
	}
}
