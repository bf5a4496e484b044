package tui

import (
	"context"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/trace"
)

// Records is what a person does with saved pulls. Everything here may wait for a
// disk and is called outside Update; what it says names what to do next.
type Records interface {
	// Trace is the force of a record in few columns.
	Trace(dir string) (*trace.Trace, error)
	// Prove is Trace by the readings, each held against what was written: what is wrong
	// with them is in its Damage; without, its columns may be wider. Of a long record it may
	// take seconds; it ends early with the error of ctx.
	Prove(ctx context.Context, dir string) (*trace.Trace, error)
	// Noted is what stands in the head of a record beside what a list shows of it.
	Noted(dir string) (Noted, error)
	// Reckon recomputes records from their readings, several at once, for a
	// comparison; in the order asked for. done is called, from any goroutine, with how
	// many are done. The error is that of ctx: a record that cannot be read is a Pull
	// that says so in Out.
	Reckon(ctx context.Context, dirs []string, done func(int)) ([]compare.Pull, error)
	// Prints tell what was read of each record from what was of others, whatever it is
	// called (compare.Fingerprint); empty of one nobody knows.
	Prints(dirs []string) []string
	// KeepComparison writes the report of a comparison; file is where it is.
	KeepComparison(c *compare.Comparison) (file string, err error)
	// Trash moves records out of the shelf into its trash folder; nothing is deleted.
	// What could be moved is in Trashed though another failed.
	Trash(dirs []string) (shelf.Trashed, error)
	// Untrash moves them back; left is what is still in the trash.
	Untrash(shelf.Trashed) (left shelf.Trashed, err error)
	Relabel(dir string, to record.Label) error
	AddRemark(dir, text string) error
	// Recover closes a record that was cut off by what is intact of it, and says in
	// one line what that is.
	Recover(dir string) (said string, err error)
}

// Noted is what stands in a record.
type Noted struct {
	// Remarks are those that a list counts: people's, the newest first, the reasons it
	// was armed for, the program's own, and what the bar was called before, last.
	Remarks     []string
	Minimum     si.Stress // the strength was held against; 0: none
	MinimumFrom string
	Says        string // of the verdict, strength.Passes …; empty: none
}

// Where the shelf leads.
type (
	openOverlay struct{ of []shelf.Entry }
	openCompare struct {
		of     []shelf.Entry
		groups map[string]string // by folder: the group it was marked into
		by     compare.By
		chosen compare.Chosen // how they were picked on the shelf
	}
)
