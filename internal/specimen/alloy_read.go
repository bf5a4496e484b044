package specimen

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"draghand/internal/si"
)

// Bounds on a file of alloys.
const (
	maxAlloyFile = 1 << 20
	maxAlloys    = 2000
	maxAlloyText = 200 // bytes of one cell
)

// alloyColumns are the columns a file of alloys may have, in any order. The
// first three must be there.
func alloyColumns() []string {
	return []string{"name", "basis", "strength", "also", "condition", "strength_high", "yield", "elongation", "standard", "provenance", "source", "note"}
}

// ReadAlloys reads a table of alloys: CSV with a line of headings, every stress
// with its unit. Lines that begin with # are passed over. All faults are told at
// once, each with its line.
func ReadAlloys(file string, r io.Reader) (Table, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxAlloyFile+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if len(b) > maxAlloyFile {
		return nil, fmt.Errorf("%s: longer than %d bytes: it is no table of alloys", file, maxAlloyFile)
	}
	c := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(b), "\ufeff")))
	c.Comment, c.FieldsPerRecord = '#', -1
	head, err := c.Read()
	if err != nil {
		if errors.Is(err, io.EOF) {
			err = errors.New("it is empty: the first line names the columns, " + strings.Join(alloyColumns(), ", "))
		}
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if err := alloyHead(head); err != nil {
		return nil, fmt.Errorf("%s: line 1: %w", file, err)
	}
	var (
		out  Table
		errs []error
	)
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", file, err))
			break
		}
		line, _ := c.FieldPos(0)
		if len(out) >= maxAlloys {
			errs = append(errs, fmt.Errorf("%s: line %d: more than %d rows", file, line, maxAlloys))
			break
		}
		a, err := alloyRow(head, row)
		if err != nil {
			errs = append(errs, fmt.Errorf("%s: line %d: %w", file, line, err))
			continue
		}
		out = append(out, a)
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	return out, nil
}

// alloyHead judges the line of headings.
func alloyHead(head []string) error {
	known := alloyColumns()
	for i, h := range head {
		head[i] = strings.ToLower(strings.TrimSpace(h))
		switch {
		case !slices.Contains(known, head[i]):
			return fmt.Errorf("the column %q is not known: known are %s", h, strings.Join(known, ", "))
		case slices.Contains(head[:i], head[i]):
			return fmt.Errorf("the column %q stands twice", h)
		}
	}
	for _, must := range known[:3] {
		if !slices.Contains(head, must) {
			return fmt.Errorf("the column %q is missing", must)
		}
	}
	return nil
}

// alloyRow reads one row.
func alloyRow(head, row []string) (a Alloy, err error) {
	if len(row) != len(head) {
		return a, fmt.Errorf("%d cells, and the first line names %d: a text with a comma stands in quotes", len(row), len(head))
	}
	for i, cell := range row {
		cell = strings.TrimSpace(cell)
		if len(cell) > maxAlloyText || strings.ContainsFunc(cell, unicode.IsControl) || strings.ToValidUTF8(cell, "") != cell {
			return a, fmt.Errorf("%s: longer than %d bytes, or no text", head[i], maxAlloyText)
		}
		if err := a.set(head[i], cell); err != nil {
			return a, fmt.Errorf("%s: %w", head[i], err)
		}
	}
	if a.UTSHigh == 0 {
		a.UTSHigh = a.UTSLow
	}
	switch {
	case len(words(a.Name)) == 0:
		return a, errors.New("name: it has none")
	case a.UTSLow > a.UTSHigh:
		return a, errors.New("strength_high: it is less than the strength")
	case a.Yield > a.UTSHigh:
		return a, errors.New("yield: no metal yields above what it breaks at")
	}
	return a, nil
}

func (a *Alloy) set(column, cell string) (err error) {
	stress := func(to *si.Stress) error {
		v, err := si.ParseStress(cell)
		if err != nil {
			return err
		}
		if !(v >= 1*si.Megapascal && v <= 5000*si.Megapascal) {
			return fmt.Errorf("%s is outside 1 MPa to 5000 MPa", v.Text(si.Metric))
		}
		*to = v
		return nil
	}
	switch column {
	case "name":
		a.Name = cell
	case "also":
		a.Also = cell
	case "condition":
		a.Condition = cell
	case "standard":
		a.Standard = cell
	case "provenance":
		a.Provenance = cell
	case "source":
		a.Source = cell
	case "note":
		a.Note = cell
	case "basis":
		a.Basis = Basis(strings.ToLower(cell))
		if a.Basis != Minimum && a.Basis != Typical && a.Basis != Ceiling {
			return fmt.Errorf("%q is none: write minimum, typical or ceiling", cell)
		}
	case "strength":
		return stress(&a.UTSLow)
	case "strength_high":
		if cell != "" {
			return stress(&a.UTSHigh)
		}
	case "yield":
		if cell != "" {
			return stress(&a.Yield)
		}
	case "elongation":
		if cell != "" {
			a.ElongationLow, a.ElongationHigh, err = percents(cell)
		}
	}
	return err
}

// percents reads "12 %" or "1-3 %".
func percents(cell string) (low, high float64, err error) {
	bare, ok := strings.CutSuffix(cell, "%")
	from, to, both := strings.Cut(strings.TrimSpace(bare), "-")
	if !both {
		to = from
	}
	low, err = strconv.ParseFloat(strings.TrimSpace(from), 64)
	if err == nil {
		high, err = strconv.ParseFloat(strings.TrimSpace(to), 64)
	}
	if !ok || err != nil || !(low >= 0 && low <= high && high <= 200) {
		return 0, 0, fmt.Errorf(`%q is no elongation: write it like "12 %%" or "1-3 %%"`, cell)
	}
	return low, high, nil
}
