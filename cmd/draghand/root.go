package main

import (
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"

	"github.com/adrg/xdg"
	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/tui"
)

// world is all the program touches of the outside, so that a test can run the
// same program with its own.
type world struct {
	in       io.Reader
	out, err io.Writer
	getenv   func(string) string
	loadRig  func(path string) (*rig.Rig, error) // on the bench; nil: from a file
}

// output is the standard output; it keeps the first error, so that a verb whose
// answer could not be written does not end as if it had been. The lines of a
// running pull come from two goroutines.
type output struct {
	io.Writer
	mu      sync.Mutex
	err     error
	excused bool // the verb's work is not its output: a pull is recorded all the same
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	n, err := o.Writer.Write(p)
	if o.err == nil {
		o.err = err
	}
	return n, err
}

// terminal gives the file behind v if it is a terminal.
func terminal(v any) (*os.File, bool) {
	if o, ok := v.(*output); ok {
		v = o.Writer
	}
	f, ok := v.(*os.File)
	if !ok || f == nil {
		return nil, false
	}
	return f, isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())
}

// common are the flags every verb knows.
type common struct {
	data    string
	units   string
	noColor bool
	letters bool // draw with ASCII alone
}

// ascii says whether the screen is drawn with ASCII alone: asked for, or since
// the terminal shows nothing else.
func (c *common) ascii(w world) bool { return c.letters || tui.WantsASCII(w.getenv) }

// shelf is the folder the pull records stand in.
func (c *common) shelf() string {
	if c.data != "" {
		return c.data
	}
	return filepath.Join(xdg.DataHome, "draghand", "pulls")
}

// system is the unit system asked for, or the one given.
func (c *common) system(otherwise si.System) (si.System, error) {
	if c.units == "" {
		return otherwise, nil
	}
	s, err := si.ParseSystem(c.units)
	if err != nil {
		return s, failf(exitUsage, "write --units us or --units si", "--units %q is no unit system", c.units)
	}
	return s, nil
}

// version is the program's version as the build knows it.
func version() string {
	if b, ok := debug.ReadBuildInfo(); ok && b.Main.Version != "" && b.Main.Version != "(devel)" {
		return b.Main.Version
	}
	return "0.1.0-devel"
}

// run is the whole program: it parses, runs one verb and gives the exit code.
func run(args []string, w world) int {
	out := &output{Writer: w.out}
	w.out = out
	var fields benchFlags
	c := &common{noColor: w.getenv("NO_COLOR") != ""}
	root := &cobra.Command{
		Use:   "draghand",
		Short: "the drag hand of a home-built pull rig",
		Long: `draghand watches a tensile pull on a home-built rig: it reads the pressure
transducer, shows the pull force, keeps the peak, warns as the load nears what
any part of the rig can take, and saves the trace.

Without a verb it opens the bench: rig, source and specimen, the points to see
to, the zero, arming, and bar after bar of a melt. With --plain the bench is in
words, a line at a time.

It warns; it is no safety device. Guard up, eyes and face covered, nobody in
line with the pins or the pull, nobody reaches in under load.`,
		Example: `  draghand                                          the bench: set up, arm, pull, next bar
  draghand --from sim:                              the same on the simulated rig
  draghand demo                                     a whole pull on the simulated rig
  draghand rig new > rig.toml                       a commented rig file to fill in
  draghand rig check rig.toml                       the rig as understood, with its limits
  draghand watch --rig rig.toml --from serial:/dev/ttyACM0 --melt M1 --specimen 1 --diameter "12.51 mm"
  draghand results RECORD                           what came out
  draghand list melt:M1                             what is on the shelf of a melt
  draghand compare M1                               its bars beside each other, and what strength to count on`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return sit(cmd.Context(), w, c, fields, cmd.Help)
		},
	}
	root.SetIn(w.in)
	root.SetOut(w.out)
	root.SetErr(w.err)
	root.SetArgs(args)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return failf(exitUsage, "see "+cmd.CommandPath()+" --help", "%w", err)
	})
	root.PersistentFlags().StringVar(&c.data, "data", "", "folder of the pull records (default: the data folder of this account)")
	root.PersistentFlags().StringVar(&c.units, "units", "", "units of display: us or si (default: those of the rig)")
	root.PersistentFlags().BoolVar(&c.noColor, "no-color", c.noColor, "no colour (NO_COLOR does the same)")
	root.PersistentFlags().BoolVar(&c.letters, "ascii", false, "draw the screens with ASCII alone (by itself where the terminal shows nothing else)")
	fields.add(root)
	root.AddCommand(
		demoCommand(w, c), watchCommand(w, c), replayCommand(w, c), resultsCommand(w, c), finishCommand(w, c), checkCommand(w, c), exportCommand(w, c), importCommand(w, c),
		listCommand(w, c), shareCommand(w, c), checkbarCommand(w, c), enterCommand(w, c), alloysCommand(w, c), specimenCommand(w, c), manCommand(w), compareCommand(w, c),
		trashCommand(w, c), labelCommand(w, c), recoverCommand(w, c),
		planCommand(w, c), calibrateCommand(w, c), rigCommand(w, c), simulateCommand(w, c), portsCommand(w),
	)
	err := root.Execute()
	if out.err != nil && !out.excused {
		err = failf(exitSave, "see that there is room and leave to write", "the answer could not be written: %w", out.err)
	}
	if err != nil {
		return report(w.err, err)
	}
	return exitDone
}
