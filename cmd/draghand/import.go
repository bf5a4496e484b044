package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sheet"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// importer is one call of the verb.
type importer struct {
	w      world
	c      *common
	bar    specimen.Specimen
	kind   pull.Kind
	proof  watch.Proof
	rig    *rig.Rig // nil: the table's force is the force at the specimen
	table  sheet.Options
	asJSON bool
	dryRun bool
}

func importCommand(w world, c *common) *cobra.Command {
	var (
		im             importer
		bar            barFlags
		job            kindFlags
		rigFile        string
		columns, units []string
	)
	cmd := &cobra.Command{
		Use:   "import FILE|FOLDER...",
		Short: "a table from elsewhere as a pull record",
		Long: `import reads a table of numbers that an instrument or a spreadsheet wrote, says
what it understood, and makes a pull record of it, one a file. Separator,
decimal sign, header and units are found; what can be read in two ways is
refused with the flag that settles it. A - reads standard input.

A folder stands for every table in it, not those of the folders in it, each bar
named after its file: a line a file says what came of it. A refused one does not
stop the others, what is no table is passed over, and what was imported before is
not imported again.

Without --rig the column of forces is taken as the force at the specimen, with
its zero as it stands. With --rig FILE the column is what that rig's sensor
sends: pressures, forces on the ram or raw numbers.`,
		Example: `  draghand import pull.csv --dry-run
  draghand import pull.csv --melt M1 --specimen 3 --diameter "12.51 mm"
  draghand import FOLDER --dry-run
  draghand import crush.txt --kind crush --flip-sign
  draghand import log.csv --column time=1 --column force=3 --unit time=ms --unit force=kN`,
		Args: atLeast(1, "name a file with a table, a folder of them, or - for standard input"),
		RunE: func(cmd *cobra.Command, args []string) error {
			im.w, im.c = w, c
			var err error
			if im.kind, im.proof, err = job.read(cmd); err != nil {
				return err
			}
			if im.bar, err = bar.specimen(); err != nil {
				return err
			}
			if im.bar.ID != "" && len(args) == 1 && dirExists(args[0]) {
				return failf(exitUsage, "leave it out: each is named after its file; or import them one by one", "--specimen names one specimen, and %s is a folder", args[0])
			}
			if im.bar.ID != "" && len(args) > 1 {
				return failf(exitUsage, "leave it out: each is named after its file; or import them one by one", "--specimen names one specimen and there are %d files", len(args))
			}
			if im.table.Columns, err = byRole("column", columns); err != nil {
				return err
			}
			if im.table.Units, err = byRole("unit", units); err != nil {
				return err
			}
			if rigFile != "" {
				if im.rig, err = loadRig(rigFile); err != nil {
					return err
				}
				if im.rig, err = placed(im.bar, im.rig); err != nil {
					return err
				}
				if im.kind == pull.Crush {
					if err := crushable(im.rig); err != nil {
						return err
					}
				}
				im.table.Load = wanted(im.rig)
			}
			if rigFile == "" && im.bar.Side == specimen.Far {
				return failf(exitUsage, "name the rig with --rig, or leave --side out", "--side far belongs to a two-sided rig, and none is named")
			}
			return im.all(args)
		},
	}
	f := cmd.Flags()
	f.StringVar(&rigFile, "rig", "", "the rig whose sensor wrote the column")
	f.StringArrayVar(&columns, "column", nil, "which column is what, by name or number: time=NAME, force=2, travel=NAME, strain=NAME, other=NAME; repeat")
	f.StringArrayVar(&units, "unit", nil, "the unit of a column where the header gives none or a wrong one: force=kN, time=s; repeat")
	f.IntVar(&im.table.SkipLines, "skip-lines", 0, "lines at the top that do not belong to the table")
	f.BoolVar(&im.table.FlipSign, "flip-sign", false, "turn the sign: compression was written negative")
	f.BoolVar(&im.table.KeepSign, "keep-sign", false, "take mostly negative forces as they stand")
	f.Float64Var(&im.table.Rate, "rate", 0, "rows a second, in place of a column of times")
	f.StringVar(&im.table.Separator, "separator", "", `between the columns: "," or ";" or tab, space, none (default: found)`)
	f.StringVar(&im.table.Decimal, "decimal", "", "the decimal sign: point or comma (default: found)")
	f.BoolVar(&im.dryRun, "dry-run", false, "say what is understood and write nothing")
	f.BoolVar(&im.asJSON, "json", false, "an array, one object a file")
	job.add(cmd)
	bar.add(cmd)
	return cmd
}

// byRole reads flags of the form role=value.
func byRole(flag string, texts []string) (map[sheet.Role]string, error) {
	known := []sheet.Role{sheet.Time, sheet.Force, sheet.Pressure, sheet.Stress, sheet.Raw, sheet.Travel, sheet.Strain, sheet.Other}
	out := map[sheet.Role]string{}
	for _, text := range texts {
		role, value, ok := strings.Cut(text, "=")
		if !ok || value == "" || !slices.Contains(known, sheet.Role(role)) {
			return nil, failf(exitUsage, "write it as in --"+flag+" "+map[string]string{"column": "force=3 or --column time=NAME", "unit": "force=kN or --unit time=s"}[flag],
				"--%s %q is not understood", flag, text)
		}
		if _, twice := out[sheet.Role(role)]; twice {
			return nil, failf(exitUsage, "give it once", "--%s is given twice for %s", flag, role)
		}
		out[sheet.Role(role)] = value
	}
	return out, nil
}

// mostTable bounds a file: far more than any pull, and less than the memory of
// a small machine.
const mostTable = 512 << 20

func readTable(w world, name string) ([]byte, error) {
	if name == "-" {
		data, err := io.ReadAll(io.LimitReader(w.in, mostTable+1))
		if err == nil && len(data) > mostTable {
			err = fmt.Errorf("standard input holds more than %d MB", mostTable>>20)
		}
		if err != nil {
			return nil, failf(exitInput, "name a file instead", "%w", err)
		}
		return data, nil
	}
	st, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, failf(exitInput, "see that the name is right", "there is no file %s", name)
	case err == nil && st.IsDir():
		return nil, failf(exitInput, "name the files in it", "%s is a folder", name)
	case err == nil && st.Size() > mostTable:
		return nil, failf(exitInput, "cut it into parts", "%s is larger than %d MB", name, mostTable>>20)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, failf(exitInput, "see that it may be read", "%w", err)
	}
	return data, nil
}

// naming puts the file's name before what is wrong with it.
func naming(name string, err error) error {
	var f *fault
	if !errors.As(err, &f) {
		return err
	}
	return &fault{code: f.code, err: fmt.Errorf("%s: %w", name, f.err), next: f.next}
}

// notUnderstood says why a table was refused. Where a rig was named that wants
// another quantity than the table has, that is said too.
func (im *importer) notUnderstood(name string, err error) error {
	var e *sheet.Error
	if !errors.As(err, &e) {
		return failf(exitFailed, "see draghand import --help", "%s: %w", name, err)
	}
	code, next := exitInput, e.Next
	if e.Usage {
		code = exitUsage
	}
	if im.rig != nil && im.table.Load != sheet.Force {
		next += fmt.Sprintf("; the sensor of this rig sends %s: leave --rig out to import a force as it stands", sends(im.rig))
	}
	return failf(code, next, "%s: %w", name, err)
}

// head describes the record of a table.
func (im *importer) head(name string, data []byte, sum string, t *sheet.Table, r *rig.Rig, said []string) record.Head {
	bar := im.bar
	base := filepath.Base(name)
	if name == "-" {
		base = "standard input"
	}
	base = strings.ToValidUTF8(clean(base), "?")
	if bar.ID == "" {
		bar.ID = shorten(strings.TrimSuffix(base, filepath.Ext(base)), maxName)
	}
	h := record.Head{
		Program: "draghand " + version(), Started: startOf(t), Kind: im.kind, Specimen: bar, Rig: r, Source: "import:" + base,
		Remarks: []string{"imported from a table: " + base},
		Imported: &record.Imported{
			File: base, SHA256: sum, Bytes: int64(len(data)), Understood: plainLines(said),
			LoadColumn: plainLine(t.Load().Title()), LoadUnit: plainLine(t.Load().Unit), Flipped: t.Flipped, Rows: len(t.Rows), BadRows: t.BadRows.Count,
		},
	}
	if im.kind == pull.Proof {
		h.Proof = &record.Proof{Target: im.proof.Target, Hold: record.SecondsOf(im.proof.Hold)}
	}
	if t.TimeColumn >= 0 {
		c := t.Columns[t.TimeColumn]
		h.Imported.TimeColumn = plainLine(c.Title())
		if !t.Clock {
			h.Imported.TimeUnit = c.Unit
		}
	}
	for _, i := range t.Channels {
		h.Channels = append(h.Channels, record.Channel{Name: plainLine(t.Columns[i].Title()), Unit: plainLine(t.Columns[i].Unit)})
	}
	h.Channels = record.ChannelColumns(h.Channels)
	return h
}

// sysOf is the unit system a table speaks.
func sysOf(unit string) si.System {
	if slices.Contains([]string{"lbf", "kip", "tonf", "psi", "ksi"}, unit) {
		return si.US
	}
	return si.Metric
}
