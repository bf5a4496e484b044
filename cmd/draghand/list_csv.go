package main

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"draghand/internal/shelf"
)

// csvNames are the columns of a shelf as a table: the fields of entryJSON.
func csvNames() []string {
	return []string{
		"record", "condition", "reason", "started", "kind", "id", "melt", "alloy", "tags", "diameters_m", "shape", "sections_m", "area_m2",
		"check_stock", "simulated", "imported", "by_eye", "rig", "source", "outcome", "peak_n", "stress_pa", "strength_pa",
		"strength_at_least_pa", "strength_expanded_pa", "elongation", "counts", "counts_because", "first_yield_n", "first_yield_pa", "remarks",
	}
}

// writeEntries writes the shelf as one table, RFC 4180 with a line of names; an empty
// cell is not known. Texts are as they stand in the records, less what steers a
// terminal.
func writeEntries(out io.Writer, all []shelf.Entry) error {
	w := csv.NewWriter(out)
	if err := w.Write(csvNames()); err != nil {
		return err
	}
	for i := range all {
		row, err := csvRow(jsonOf(all[i]))
		if err != nil {
			return err
		}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

func csvRow(e entryJSON) ([]string, error) {
	if e.Started == nil { // it cannot be read
		row := make([]string, len(csvNames()))
		row[0], row[1], row[2] = clean(e.Record), e.Condition, cell(e.Reason)
		return row, nil
	}
	sections := ""
	if len(e.Sections) > 0 {
		text, err := json.Marshal(e.Sections)
		if err != nil {
			return nil, err
		}
		sections = string(text)
	}
	diameters := make([]string, 0, len(e.Diameters))
	for _, d := range e.Diameters {
		diameters = append(diameters, plainNumber(float64(d)))
	}
	return []string{
		clean(e.Record), e.Condition, cell(e.Reason), e.Started.UTC().Format(time.RFC3339Nano), cell(e.Kind), clean(e.ID), clean(e.Melt), clean(e.Alloy),
		tagsCell(e.Tags), strings.Join(diameters, " "), clean(string(e.Shape)), sections, figure(e.AreaM2), clean(e.Stock),
		strconv.FormatBool(e.Simulated), strconv.FormatBool(e.Imported), strconv.FormatBool(e.ByEye), clean(e.Rig), clean(e.Source), cell(e.Outcome),
		figure(e.PeakN), figure(e.StressPa), figure(e.StrengthPa), figure(e.StrengthAtLeastPa), figure(e.ExpandedPa), figure(e.Elongation),
		cell(e.Counts), cell(e.CountsBecause), figure(e.FirstYieldN), figure(e.FirstYieldPa), strconv.Itoa(e.Remarks),
	}, nil
}

// tagsCell are tags with commas between; one that holds a comma or a quote itself, of a
// head by another hand, stands in quotes, its own doubled.
func tagsCell(tags []string) string {
	out := make([]string, len(tags))
	for i, t := range tags {
		if out[i] = clean(t); strings.ContainsAny(out[i], `,"`) {
			out[i] = `"` + strings.ReplaceAll(out[i], `"`, `""`) + `"`
		}
	}
	return strings.Join(out, ", ")
}

// cell is a text that may not be known.
func cell[T ~string](v *T) string {
	if v == nil {
		return ""
	}
	return clean(string(*v))
}

// figureDigits are those of a figure that was reckoned: far finer than any force is
// known, and few enough to be read.
const figureDigits = 6

// figure is one that was reckoned and may not be known.
func figure[T ~float64](v *T) string {
	if v == nil {
		return ""
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(float64(*v), 'g', figureDigits, 64), 64)
	if err != nil {
		return plainNumber(float64(*v))
	}
	return plainNumber(short)
}

// plainNumber is a number as --json writes it.
func plainNumber(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
