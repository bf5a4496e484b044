package shelf

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// Options say how a shelf is listed. The zero value is right.
type Options struct {
	Workers int // folders read at once; 0: as many as suit a disk
	// Cache is a file that may hold what was listed before, so that a record that is as
	// it was is not read again; empty: none. It may be missing, torn, of another shelf or
	// another program: then the records are read, and it is written anew where that
	// works. It is never the truth: see cache.go.
	Cache string
}

// workersLeast is how many folders are read at once on few cores: a cold disk answers
// several at a time.
const workersLeast = 8

// List is every record in a folder, newest first; what has no start comes last,
// by name. A record that cannot be read is an entry with its reason. Left out are
// files that are no folders, and hidden ones. A folder that is not there is an
// empty shelf.
//
// It reads pull.json of each and nothing else, several at once, and ends early
// with the error of ctx.
func List(ctx context.Context, dir string, o Options) ([]Entry, error) {
	return listAt(ctx, dir, o, time.Now())
}

// listAt is List that began at a given time.
func listAt(ctx context.Context, dir string, o Options, began time.Time) ([]Entry, error) {
	names, err := folders(dir)
	if err != nil {
		return nil, err
	}
	workers := o.Workers
	if workers <= 0 {
		workers = max(runtime.GOMAXPROCS(0), workersLeast)
	}
	c := openCache(o.Cache, dir, len(names))
	out := make([]Entry, len(names))
	order := nearFirst(dir, names)
	keep := make([]held, len(names)) // of the same index; empty: not to be kept
	var next, read atomic.Int64
	var wait sync.WaitGroup
	for range min(workers, len(names)) {
		wait.Go(func() {
			var s record.Skimmer
			for {
				n := int(next.Add(1)) - 1
				if n >= len(order) || ctx.Err() != nil {
					return
				}
				i := order[n]
				at := filepath.Join(dir, names[i])
				st, err := os.Stat(filepath.Join(at, record.HeadFile))
				if err != nil {
					out[i] = there(entry(&s, at, names[i], nil))
					continue
				}
				now := stampOf(st)
				if e, k, ok := c.take(names[i], now); ok {
					e.Dir, e.Name = at, names[i]
					out[i], keep[i] = e, k
					continue
				}
				out[i] = there(entry(&s, at, names[i], st))
				if c != nil && now.settled(began) {
					if keep[i] = keepable(out[i], now); keep[i].text != nil {
						read.Add(1)
					}
				}
			}
		})
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c.keep(names, keep, int(read.Load()))
	out = slices.DeleteFunc(out, func(e Entry) bool { return e.Name == "" })
	slices.SortFunc(out, newer)
	return out, nil
}

// there is an entry, or none, without a name, where its folder went meanwhile, as into
// the trash.
func there(e Entry) Entry {
	if !e.Readable() {
		if _, err := os.Lstat(e.Dir); errors.Is(err, fs.ErrNotExist) {
			return Entry{}
		}
	}
	return e
}

// calibrations is the folder of calibration files on a shelf, calib.Folder: no record.
const calibrations = "calibrations"

// folders are the names that may be records.
func folders(dir string) ([]string, error) {
	all, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("read the shelf: %w", err)
	}
	names := make([]string, 0, len(all))
	for _, e := range all {
		if strings.HasPrefix(e.Name(), ".") || e.Name() == calibrations {
			continue
		}
		isDir := e.IsDir()
		if e.Type()&fs.ModeSymlink != 0 {
			st, err := os.Stat(filepath.Join(dir, e.Name()))
			isDir = err == nil && st.IsDir()
		}
		if isDir {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// newer orders two entries, the newer one first.
func newer(a, b Entry) int {
	return record.Later(a.Started, a.Name, b.Started, b.Name)
}

// entry reads one record. st is what os.Stat just told of its pull.json; nil: nobody
// asked.
func entry(s *record.Skimmer, dir, name string, st fs.FileInfo) Entry {
	e := Entry{Dir: dir, Name: name}
	b, err := s.BriefAt(dir, st)
	switch {
	case errors.Is(err, record.ErrNewer):
		e.Condition, e.Reason = Newer, "made by a newer draghand: update"
		var n *record.NewerError
		if errors.As(err, &n) {
			e.Reason = fmt.Sprintf("made by a newer draghand (format %d): update", n.Format)
		}
		return e
	case err != nil:
		e.Condition, e.Reason = fault(dir, err)
		e.Reason = short(e.Reason) // it may name what stands there
		return e
	}
	e.Condition = condition(b)
	e.Started, e.Kind, e.Specimen, e.RigName, e.Units = b.Started, b.Kind, b.Specimen, b.RigName, b.Units
	e.Source, e.Remarks, e.Imported, e.ByEye = b.Source, b.Remarks, b.Imported, b.ByEye
	if c := b.Closing; c != nil {
		e.outcome(c, b.Where, b.Failed)
	}
	e.saved(b.Results)
	if e.Condition == Whole && e.Counts == "" {
		e.settle(b)
	}
	e.bound()
	if e.Specimen.Stock != "" { // of few bars: the whole head is read for those alone
		if h, err := s.Head(dir); err == nil {
			e.Check = CheckOf(&h, &e)
		} else {
			e.Check = &Check{Out: "its head cannot be read: " + short(err.Error())}
		}
	}
	return e
}

// Read is one record as List has it. Its folder must be there.
func Read(dir string) Entry {
	var s record.Skimmer
	return entry(&s, dir, filepath.Base(dir), nil)
}

// fault says what is wrong with a folder whose head cannot be read, and what to do,
// without its path: the entry has that. What the reader of the head met is left to the
// verbs that look at one record.
func fault(dir string, err error) (Condition, string) {
	missing, own := errors.Is(err, fs.ErrNotExist), record.HasSamples(dir)
	var sys *fs.PathError
	switch {
	case missing && own:
		if e, ok := errors.AsType[*record.HeadError](err); ok {
			return Damaged, e.Plain() + "; " + e.Next()
		}
		return Damaged, record.HeadFile + " is missing; " + record.HeadBack
	case missing:
		return Foreign, "no pull record: it holds no " + record.HeadFile
	case errors.As(err, &sys): // it may be whole, and cannot be looked at
		return Damaged, record.HeadFile + " cannot be read: " + sys.Err.Error()
	}
	why := strings.ReplaceAll(err.Error(), fmt.Sprintf("%q", filepath.Join(dir, record.HeadFile)), record.HeadFile)
	if !own {
		return Foreign, why
	}
	if e, ok := errors.AsType[*record.HeadError](err); ok {
		why = e.Plain()
	}
	return Damaged, strings.TrimSuffix(why, ": "+record.ErrForeign.Error()) + "; " + record.HeadBack
}

func condition(b record.Brief) Condition {
	switch {
	case b.Closing != nil:
		return Whole
	case b.Writing:
		return Writing
	}
	return Unfinished
}

// outcome fills in what came out, from the closing state. Where the peak is a lower
// bound only it is no strength, as in the results.
func (e *Entry) outcome(c *record.BriefClosing, where specimen.Where, failed string) {
	e.Outcome = c.Outcome
	if strength.FoundBroken(e.Kind, c.Outcome, where, failed) {
		e.Outcome = pull.Broken
	}
	if c.NeverLoaded {
		e.Outcome = pull.Slack
		return
	}
	area := known(e.Specimen.Area())
	e.Peak = c.Peak
	if c.Peak == 0 {
		return
	}
	if area > 0 {
		e.Stress = known(si.StressOn(c.Peak, area))
	}
	if e.Kind == pull.Crush {
		if e.FirstYield = c.FirstYield; area > 0 && c.FirstYield != 0 {
			e.YieldStress = known(si.StressOn(c.FirstYield, area))
		}
	}
	full, atLeast := strength.Claim(e.Kind, e.Outcome, e.Peak, area)
	if specimen.BoundOnly(where, failed) && full != nil {
		full, atLeast = nil, full
	}
	if full != nil {
		e.Strength = known(*full)
	}
	if atLeast != nil {
		e.AtLeast = known(*atLeast)
	}
}

// known is 0, which is not known, for what is no number of nature: a head by another
// hand may hold a bar of any size.
func known[T ~float64](v T) T {
	if f := float64(v); math.IsInf(f, 0) || math.IsNaN(f) {
		return 0
	}
	return v
}
