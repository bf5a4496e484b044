package calib

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"draghand/internal/rig"
)

// The names of tables of points that were not saved as a calibration.
const (
	unsavedName   = "points-"
	unsavedEnding = ".csv"
)

func unsaved(name string) bool {
	return strings.HasPrefix(name, unsavedName) && strings.HasSuffix(name, unsavedEnding)
}

// WriteTable writes a run's points as a table that ReadTable reads, in newtons or
// pascals and the numbers of the board.
func WriteTable(run Run) []byte {
	var b strings.Builder
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	unit := "N"
	if run.At == rig.AtGauge {
		unit = "Pa"
	}
	fmt.Fprintf(&b, "# points taken %s at the %s, not saved as a calibration\n", run.Made.Format("2006-01-02 15:04:05"), run.At)
	fmt.Fprintf(&b, "# against %s\n", strings.Join(strings.Fields(run.Reference.Text), " "))
	fmt.Fprintf(&b, "reference [%s],reading,direction,run\n0,%s,,\n", unit, number(run.Zero))
	for _, p := range run.Points {
		fmt.Fprintf(&b, "%s,%s,%s,%d\n", number(p.Reference), number(p.Raw), p.Direction, p.Run)
	}
	if run.ZeroAfter != nil {
		fmt.Fprintf(&b, "0,%s,,\n", number(*run.ZeroAfter))
	}
	return []byte(b.String())
}

// KeepPoints writes a run's points as a table into the folder of calibrations of a
// shelf, and gives its path. Nothing is written over.
func KeepPoints(shelf string, run Run) (path string, err error) {
	dir := filepath.Join(shelf, Folder)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("keep the points: %w", err)
	}
	name := ""
	if run.Rig != nil {
		name = run.Rig.Name
	}
	id := unsavedName + NewID(run.Made, name, run.At, run.Far) + run.Made.Format("-150405")
	for n := 1; n <= maxNamed; n++ {
		if path = filepath.Join(dir, id+unsavedEnding); n > 1 {
			path = filepath.Join(dir, fmt.Sprintf("%s-%d%s", id, n, unsavedEnding))
		}
		if err = create(path, WriteTable(run)); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", fmt.Errorf("keep the points: %w", err)
	}
	return path, nil
}
