package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// calibrateFlags are those of the verb.
type calibrateFlags struct {
	rigFile, points, from, at, line, due, made string
	reference, certificate, uncertainty        string
	referenceUnit, gaugeUnit, zero, side       string
	calibration, replaces                      string
	drop                                       []int
	far, simulated, plain, asJSON, noSave      bool
	sure, keepSuspect                          bool
}

func calibrateCommand(w world, c *common) *cobra.Command {
	var f calibrateFlags
	cmd := &cobra.Command{
		Use:   "calibrate --rig FILE --at gauge|ram|specimen --reference TEXT (--points TABLE | --from SOURCE)",
		Short: "hold the rig against a reference: line, bad point, friction, class; kept for later pulls",
		Long: `calibrate finds the straight line from the gauge pressure to what a reference
says, and keeps it: from then on it takes the place of the rig file's figures
between the two, in every pull on this rig.

The reference stands at the gauge (another gauge on the same oil), at the ram
(dead weights, a cell under it) or at the specimen (a cell in the bar's place:
then area, friction and share are all in it). --far: in the far side's place.

TABLE is a file, or - for standard input, a line a point under a header: the
columns reference, reading (the raw number) or gauge, direction (rising or
falling) and run; units in the header, "reference [kN]". Rows with the reference
0 are the zero. With --from the points are taken from the running rig.

Live, load is brought on and held, the program finds by itself when the reading
stands still, and a person types what the reference shows.

The reference stands in the load path: it has to be rated for the load. Guard
up, eyes and face covered, nobody in line, nobody under a weight; let the
pressure off before anything is changed. The program warns; it is no safety
device. See docs/calibrate.md.`,
		Example: `  draghand calibrate --rig rig.toml --points points.csv --at specimen --reference "50 kN cell no. 3" --certificate "C-17, 2026-03-01" --reference-u "0.3 %"
  draghand calibrate --rig rig.toml --from serial:/dev/ttyACM0 --at ram --reference "dead weights"
  draghand calibrate list
  draghand calibrate show 2026-11-20-rig-specimen`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if f.redoes() {
				return f.redo(w, c, cmd.Flags().Changed)
			}
			run, o, err := f.read()
			if err != nil {
				return err
			}
			if f.points == "" {
				return takePoints(cmd.Context(), w, c, pointRun{
					run: run, from: f.from, plain: f.plain, calibration: f.calibration, replaces: f.replaces,
					reckon: func(run calib.Run, simulated bool) (*calib.Answer, error) {
						o.Simulated = simulated
						a, err := calib.Reckon(run, o)
						return &a, err
					},
					save: f.liveSave(c, &o),
				})
			}
			return f.table(w, c, run, o)
		},
	}
	f.add(cmd)
	cmd.AddCommand(calibrateListCommand(w, c), calibrateShowCommand(w, c), calibrateWithdrawCommand(w, c))
	return cmd
}

func (f *calibrateFlags) add(cmd *cobra.Command) {
	s := cmd.Flags()
	s.StringVar(&f.rigFile, "rig", "", "the rig file")
	s.StringVar(&f.points, "points", "", "table of points, - for standard input")
	s.StringVar(&f.from, "from", "", "take the points from this source")
	s.StringVar(&f.at, "at", "", "where the reference stands: gauge, ram or specimen")
	s.StringVar(&f.side, "side", "", "of a rig of two sides, where a cell stands: near (the specimen's place) or far")
	s.BoolVar(&f.far, "far", false, "the same as --side far")
	s.StringVar(&f.reference, "reference", "", "what the reference was, in words, with its number")
	s.StringVar(&f.certificate, "certificate", "", "number and date of its certificate")
	s.StringVar(&f.uncertainty, "reference-u", "", `its expanded uncertainty (k = 2) as a part of the value, such as "0.3 %"`)
	s.StringVar(&f.line, "line", "", "through-zero or offset (default: what the points say)")
	s.IntSliceVar(&f.drop, "drop", nil, "leave this point out, by its number; repeat for several")
	s.StringVar(&f.due, "due", "", "when it is due again (default: a year later)")
	s.StringVar(&f.made, "made", "", "when the points of the table were taken (default: now)")
	s.StringVar(&f.zero, "zero", "", "raw number at no load, where the table has no row with the reference 0")
	s.StringVar(&f.calibration, "calibration", "", "what the rig tells as found is by this calibration, a file or an ID (default: the one in force), or none")
	s.StringVar(&f.referenceUnit, "reference-unit", "", "unit of the table's references, such as kN")
	s.StringVar(&f.gaugeUnit, "gauge-unit", "", "unit of the table's gauge pressures, such as bar")
	s.StringVar(&f.replaces, "replaces", "", "take the place of this calibration, by its ID: it is withdrawn; alone, its own points are reckoned anew")
	s.BoolVar(&f.sure, "sure", false, "the table is as written, though it differs from the rig file by more than a factor of three")
	s.BoolVar(&f.keepSuspect, "keep-suspect", false, "save it though a point does not fit the others")
	s.BoolVar(&f.simulated, "simulated", false, "the points of the table are from the simulated rig: for simulated pulls alone")
	s.BoolVar(&f.plain, "plain", false, "no screen while points are taken: in words")
	s.BoolVar(&f.asJSON, "json", false, "the answer as one object, in SI")
	s.BoolVar(&f.noSave, "no-save", false, "look only: nothing is kept")
}

// read makes a run without points of the flags.
func (f *calibrateFlags) read() (run calib.Run, o calib.Options, err error) {
	switch {
	case f.points != "" && f.from != "":
		return run, o, failf(exitUsage, "choose one", "--points and --from exclude one another")
	case strings.TrimSpace(f.reference) == "":
		return run, o, failf(exitUsage, `say what it was: --reference "50 kN cell no. 3"`, "the reference has no name")
	}
	at := rig.Place(f.at)
	if at != rig.AtGauge && at != rig.AtRam && at != rig.AtSpecimen {
		return run, o, failf(exitUsage, "write --at gauge, --at ram or --at specimen", "--at %q is no place of a reference", f.at)
	}
	run = calib.Run{At: at, Made: time.Now(), Reference: calib.Reference{Text: clean(f.reference), Certificate: clean(f.certificate)}}
	if f.uncertainty != "" {
		if run.Reference.U, err = f.referenceU(); err != nil {
			return run, o, err
		}
	}
	if f.made != "" {
		if run.Made, err = parseDate(f.made); err != nil || run.Made.After(time.Now()) {
			return run, o, failf(exitUsage, "write it like --made 2026-11-20, a day that was", "--made %q is no such day", f.made)
		}
	}
	o = calib.Options{Line: f.line, Simulated: f.simulated, Replaces: f.replaces}
	if f.due != "" {
		if o.Due, err = parseDate(f.due); err != nil {
			return run, o, failf(exitUsage, "write it like --due 2027-11-20", "--due: %w", err)
		}
	}
	for _, n := range f.drop {
		o.Drop = append(o.Drop, n-1)
	}
	side, err := bench.ParseSide(f.side)
	if err != nil {
		return run, o, failf(exitUsage, "write --side near or --side far", "--side: %w", err)
	}
	run.Far = f.far || side == specimen.Far
	if run.Far && at != rig.AtSpecimen {
		return run, o, failf(exitUsage, "leave the side away, or write --at specimen", "a reference at the %s stands on no side", at)
	}
	if o.Line != "" && o.Line != calib.ThroughZero && o.Line != calib.Offset {
		return run, o, failf(exitUsage, "write --line through-zero or --line offset, or leave it away", "--line %q is no line", o.Line)
	}
	run.Rig, err = watchedRig(f.rigFile, f.from, pull.Tension)
	return run, o, err
}

// table reckons a table of points, prints the answer and keeps it.
func (f *calibrateFlags) table(w world, c *common, run calib.Run, o calib.Options) error {
	sys, err := c.system(run.Rig.Units)
	if err != nil {
		return err
	}
	r := *run.Rig
	r.Units = sys
	text, err := readPoints(w, f.points)
	if err != nil {
		return err
	}
	to := calib.TableOptions{At: run.At, ReferenceUnit: f.referenceUnit, GaugeUnit: f.gaugeUnit}
	if f.zero != "" {
		var zero float64
		if _, err := fmt.Sscan(f.zero, &zero); err != nil {
			return failf(exitUsage, "write the raw number, as in --zero 819", "--zero %q is no number", f.zero)
		}
		to.Zero = &zero
	}
	t, err := calib.ReadTable(text, &r, to)
	if err != nil {
		return failf(exitInput, "correct the table and call again; docs/calibrate.md has one", "%s: %w", f.points, err)
	}
	run.Points, run.Zero, run.ZeroAfter = t.Points, t.Zero, t.ZeroAfter
	if run.Rig, err = foundRig(c, &r, run, f.calibration, f.simulated, f.replaces); err != nil {
		return err
	}
	if t := foundWords(c, run.Rig, run.Far, f.calibration, sys); t != "" {
		fmt.Fprintln(w.err, "draghand: "+t)
	}
	if !f.sure {
		if err := calib.Far(run, t.ReferenceUnit, t.GaugeUnit); err != nil {
			return calibrationFault(err)
		}
	}
	return f.finish(w, c, run, o, sys)
}

// prose prints a sentence in lines of 80 letters, those after the first indented.
func prose(w io.Writer, text string) {
	indent := ""
	for _, l := range calib.Wrapped(clean(text), 78) {
		fmt.Fprintln(w, indent+l)
		indent = "  "
	}
}

// calibrateJSON is an answer and where it went; empty: nowhere.
type calibrateJSON struct {
	*calib.Answer
	Saved string `json:"saved"`
}

// mostPoints is how much of a table is read: more is refused with the table.
const mostPoints = 2 << 20

func readPoints(w world, name string) ([]byte, error) {
	in := w.in
	if name != "-" {
		file, err := os.Open(name)
		if err != nil {
			return nil, failf(exitInput, "name a file that is there, or - for standard input", "--points: %w", err)
		}
		defer file.Close()
		in = file
	}
	text, err := io.ReadAll(io.LimitReader(in, mostPoints))
	if err != nil {
		return nil, failf(exitInput, "see that the file can be read", "--points: %w", err)
	}
	return text, nil
}

// calibrationFault says what to do about a calibration that cannot be.
func calibrationFault(err error) error {
	next := "take new points with draghand calibrate, or write --calibration none"
	var hint interface{ Next() string }
	if errors.As(err, &hint) && hint.Next() != "" {
		next = hint.Next()
	}
	return failf(exitInput, next, "%w", err)
}

func calibrateListCommand(w world, c *common) *cobra.Command {
	var (
		asJSON  bool
		rigFile string
	)
	cmd := &cobra.Command{
		Use:   "list",
		Short: "the calibrations on the shelf, newest first, and which are in use",
		Long: `list tells the calibrations on the shelf, the newest first. In use is the one that
pulls are reckoned by when none is named: of those that fit the rig and are not
overdue the one nearest the specimen, of several there the newest. It goes by the
rig as it was when each was made, or by the rig file that is named.`,
		Example: "  draghand calibrate list\n  draghand calibrate list --rig rig.toml",
		Args:    none,
		RunE: func(*cobra.Command, []string) error {
			all, err := calib.List(c.shelf())
			if err != nil {
				return failf(exitInput, "look at the folder, or name another with --data", "%w", err)
			}
			var of *rig.Rig
			if rigFile != "" {
				if of, err = loadRig(rigFile); err != nil {
					return err
				}
			}
			now := time.Now()
			if asJSON {
				return printJSON(w.out, listJSON(all, of, now))
			}
			if len(all) == 0 {
				fmt.Fprintln(w.out, "no calibration: forces are by the rig files alone")
			}
			for _, e := range all {
				if e.File == nil {
					fmt.Fprintf(w.out, "%s: not usable: %s\n", oneLine(e.Path), oneLine(e.Reason))
					continue
				}
				k := &e.File.Calibration
				sys := si.Metric
				if e.File.Run.Rig != nil {
					sys = e.File.Run.Rig.Units
				}
				if sys, err = c.system(sys); err != nil {
					return err
				}
				simulated := ""
				if k.Simulated {
					simulated = ", simulated"
				}
				if inUse(all, e, of, now) != "" {
					r := of
					if r == nil {
						r = e.File.Run.Rig
					}
					for _, t := range calib.PassedOver(all, r, k.Far, k) {
						fmt.Fprintln(w.err, "draghand: "+oneLine(t))
					}
				}
				prose(w.out, fmt.Sprintf("%s: %s%s, against %s, rig %q%s", oneLine(k.ID), calib.Summary(k, sys, now), simulated, oneLine(k.Reference), oneLine(k.Rig), inUse(all, e, of, now)))
				if e.File.Withdrawn != nil {
					fmt.Fprintln(w.out, "  "+withdrawn(e.File))
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a file, in SI")
	cmd.Flags().StringVar(&rigFile, "rig", "", "tell which are in use on the rig of this file")
	return cmd
}

// withdrawn says in words that a calibration is; empty where it is not.
func withdrawn(f *calib.File) string {
	if f.Withdrawn == nil {
		return ""
	}
	return "WITHDRAWN" + strings.TrimPrefix(oneLine(f.Withdrawn.Words()), "withdrawn")
}

// inUse says in words that pulls are reckoned by an entry by itself, and where only
// those of one side are, on which; empty where none are.
func inUse(all []calib.Entry, e calib.Entry, of *rig.Rig, now time.Time) string {
	r := of
	if r == nil {
		r = e.File.Run.Rig
	}
	switch sides := calib.Marks(all, e, of, now); {
	case len(sides) == 0:
		return ""
	case len(sides) == 1 && r.Path.Kind == rig.TwoSided:
		return ", IN USE for bars on the " + sides[0] + " side"
	}
	return ", IN USE"
}

// listedCalibration is a file of the list: the calibration, or why it cannot be used.
type listedCalibration struct {
	Path        string            `json:"path"`
	Calibration *rig.Calibration  `json:"calibration"`
	Reason      string            `json:"reason,omitempty"`
	InUse       []string          `json:"in_use"` // on these sides, near and far
	Withdrawn   *calib.Withdrawal `json:"withdrawn,omitempty"`
}

func listJSON(all []calib.Entry, of *rig.Rig, now time.Time) []listedCalibration {
	out := []listedCalibration{}
	for _, e := range all {
		one := listedCalibration{Path: e.Path, Reason: e.Reason, InUse: append([]string{}, calib.Marks(all, e, of, now)...)}
		if e.File != nil {
			one.Calibration, one.Withdrawn = &e.File.Calibration, e.File.Withdrawn
		}
		out = append(out, one)
	}
	return out
}

func calibrateShowCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "show ID",
		Short:   "one calibration with its points, reckoned again",
		Example: "  draghand calibrate show 2026-11-20-rig-specimen",
		Args:    exactly(1, "name one calibration: draghand calibrate list has them"),
		RunE: func(_ *cobra.Command, args []string) error {
			f, err := findCalibration(c, args[0])
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(w.out, f)
			}
			k := &f.Calibration
			sys := si.Metric
			if f.Run.Rig != nil {
				sys = f.Run.Rig.Units
			}
			if sys, err = c.system(sys); err != nil {
				return err
			}
			if f.Run.Rig != nil {
				f.Run.Rig.Units = sys
			}
			a, err := calib.Reckon(f.Run, calib.Options{Line: lineOf(k), Due: k.Due, Drop: f.Dropped, Simulated: k.Simulated})
			if err != nil {
				return calibrationFault(err)
			}
			prose(w.out, fmt.Sprintf("%s: %s", oneLine(k.ID), calib.Summary(k, sys, time.Now())))
			prose(w.out, fmt.Sprintf("rig %q, against %s", oneLine(k.Rig), oneLine(k.Reference)))
			if f.Withdrawn != nil {
				prose(w.out, withdrawn(f))
			}
			fmt.Fprintln(w.out)
			for _, l := range a.Lines(f.Run, sys) {
				fmt.Fprintln(w.out, clean(l))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "the file as it is, in SI")
	return cmd
}

// lineOf is the line that a calibration uses.
func lineOf(k *rig.Calibration) string {
	if k.Line.ThroughZero {
		return calib.ThroughZero
	}
	return calib.Offset
}

// findCalibration reads a calibration by its ID or its path.
func findCalibration(c *common, name string) (*calib.File, error) {
	f, err := calib.Find(c.shelf(), name)
	if err != nil {
		return nil, failf(exitInput, "draghand calibrate list has those of the shelf; a file is named by its path", "%s: %w", name, err)
	}
	return f, nil
}
