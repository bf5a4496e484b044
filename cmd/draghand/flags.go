package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// barFlags describe the specimen on the command line.
type barFlags struct {
	id, melt, tags, alloy, gauge, yield, expect, side, micrometer, stock string
	diameters, sections                                                  []string
}

func (b *barFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&b.id, "specimen", "", "the bar's number or name")
	f.StringVar(&b.melt, "melt", "", "the pour it came from")
	f.StringVar(&b.tags, "tags", "", "free words of the melt, separated by commas")
	f.StringVar(&b.alloy, "alloy", "", "the alloy")
	f.StringArrayVar(&b.diameters, "diameter", nil, `a measured diameter such as "12.51 mm" or "12.51 mm ± 0.01 mm"; repeat for several, the smallest counts`)
	f.StringArrayVar(&b.sections, "section", nil, `a measured section of a bar that is not round: "6.02 x 3.01 mm", or "tube 12 x 1.5 mm" for outer diameter and wall; repeat for several`)
	f.StringVar(&b.micrometer, "micrometer", "", `limit of error of a measured size, such as "0.01 mm"`)
	f.StringVar(&b.gauge, "gauge-length", "", `distance of the gauge marks, such as "50 mm"`)
	f.StringVar(&b.yield, "yield", "", `lowest stress it is expected to yield at, such as "20 ksi": what gives way below it is another part`)
	f.StringVar(&b.side, "side", "", "where in a two-sided rig it stands: near (its own place, the default) or far (the far side's place)")
	f.StringVar(&b.expect, "expect", "", `stress it is expected to break at, such as "40 ksi .. 50 ksi"`)
	f.StringVar(&b.stock, "check-stock", "", "the bar is a check bar, turned from the bought stock of this name")
}

// maxName bounds what a person calls a bar, melt or alloy: it goes into file
// names and onto a line of the screen.
const maxName = 64

func (b *barFlags) specimen() (specimen.Specimen, error) {
	s := specimen.Specimen{ID: clean(b.id), Melt: clean(b.melt), Alloy: clean(b.alloy)}
	var errs []error
	for _, n := range []struct{ flag, text string }{{"--specimen", s.ID}, {"--melt", s.Melt}, {"--alloy", s.Alloy}} {
		if len(n.text) > maxName {
			errs = append(errs, fmt.Errorf("%s is longer than %d bytes", n.flag, maxName))
		}
	}
	errs = append(errs, b.sizes(&s)...)
	if b.gauge != "" {
		g, err := si.ParseLength(b.gauge)
		if err != nil {
			errs = append(errs, fmt.Errorf("--gauge-length: %w", err))
		}
		s.GaugeLength = g
	}
	if b.yield != "" {
		y, err := si.ParseStress(b.yield)
		switch {
		case err != nil:
			errs = append(errs, fmt.Errorf("--yield: %w", err))
		case y <= 0:
			errs = append(errs, fmt.Errorf("--yield %s is no stress to yield at", y.Text(si.Metric)))
		case len(b.diameters)+len(b.sections) == 0:
			errs = append(errs, errors.New("--yield needs --diameter: without the section it is no force"))
		}
		s.Yield = y
	}
	if b.tags != "" {
		tags, err := bench.ParseTags(b.tags)
		if err != nil {
			errs = append(errs, fmt.Errorf("--tags: %w", err))
		}
		s.Tags = tags
	}
	if b.expect != "" {
		low, high, err := bench.ParseExpect(b.expect)
		if err != nil {
			errs = append(errs, fmt.Errorf("--expect: %w", err))
		}
		s.ExpectLow, s.ExpectHigh = low, high
	}
	stock, err := bench.ParseStock(clean(b.stock))
	if err != nil {
		errs = append(errs, fmt.Errorf("--check-stock: %w", err))
	}
	s.Stock = stock
	side, err := bench.ParseSide(b.side)
	if err != nil {
		errs = append(errs, fmt.Errorf("--side: %w", err))
	}
	s.Side = side
	errs = append(errs, s.Validate())
	if err := errors.Join(errs...); err != nil {
		return s, failf(exitUsage, "correct it and call again; nothing has been recorded", "%w", err)
	}
	return s, nil
}

// sizes reads what was measured across the bar.
func (b *barFlags) sizes(s *specimen.Specimen) (errs []error) {
	for _, text := range b.diameters {
		value, limit := si.SplitTolerance(text) // as the bench takes it
		d, err := si.ParseLength(value)
		if err == nil && limit != "" {
			var u si.Length
			if u, err = si.ParseLength(limit); err == nil && !(u > 0) {
				err = fmt.Errorf("%q is no limit of error", limit)
			}
			s.SizeU = max(s.SizeU, u)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("--diameter: %w", err))
			continue
		}
		s.Diameters = append(s.Diameters, d)
	}
	for _, text := range b.sections {
		z, err := specimen.ParseSizes(text)
		switch {
		case err != nil:
			errs = append(errs, fmt.Errorf("--section: %w", err))
			continue
		case z.Shape == specimen.Round:
			errs = append(errs, fmt.Errorf("--section %q is round: give it with --diameter", text))
			continue
		case len(b.diameters) > 0:
			errs = append(errs, errors.New("--section and --diameter exclude one another: one bar has one shape"))
		case s.Shape != specimen.Round && s.Shape != z.Shape:
			errs = append(errs, fmt.Errorf("--section %q is another shape than the one before: one bar has one shape", text))
		}
		s.Shape, s.Sections = z.Shape, append(s.Sections, z.Sections...)
		s.SizeU = max(s.SizeU, z.Limit)
	}
	if b.micrometer != "" {
		u, err := si.ParseLength(b.micrometer)
		switch {
		case err != nil:
			errs = append(errs, fmt.Errorf("--micrometer: %w", err))
		case !(u > 0):
			errs = append(errs, fmt.Errorf("--micrometer %s is no limit of error: leave it away where it is not known", clean(b.micrometer)))
		default:
			s.SizeU = u
		}
	}
	return errs
}

// expected fills what the bar is expected to break at from the table of alloys
// where the person gave none.
func expected(s *specimen.Specimen, table specimen.Table) {
	if s.ExpectHigh > 0 {
		return
	}
	if e, ok := table.Strength(s.Alloy); ok {
		s.ExpectLow, s.ExpectHigh, s.ExpectFrom = e.Low, e.High, e.Words()
	}
}
