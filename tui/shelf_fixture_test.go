package tui

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
	"draghand/internal/trace"
	"draghand/internal/watch"
)

// shelfDesk is a desk that only has a shelf.
type shelfDesk struct {
	Desk
	all    []shelf.Entry
	err    error
	player Player
	noPlay error
	asked  []string // records a replay was asked of
	look   *watch.Snapshot

	remarks []string // of each record
	did     []string // what was asked of records, in order
	refused error    // the answer to it
	noted   Noted    // of every record, beside remarks
	moved   int      // how many of those asked for Trash moves; negative: all

	backAgain int // how many Untrash moves back before it is refused
}

func (d *shelfDesk) Prove(_ context.Context, dir string) (*trace.Trace, error) { return d.Trace(dir) }

func (d *shelfDesk) Trace(dir string) (*trace.Trace, error) {
	d.did = append(d.did, "trace "+dir)
	if d.refused != nil {
		return nil, d.refused
	}
	return madeUpTrace(), nil
}

func (d *shelfDesk) Noted(dir string) (Noted, error) {
	n := d.noted
	n.Remarks = d.remarks
	return n, d.refused
}

func (d *shelfDesk) Trash(dirs []string) (shelf.Trashed, error) {
	d.did = append(d.did, "trash "+strings.Join(dirs, " "))
	var out shelf.Trashed
	for i, dir := range dirs {
		if d.moved >= 0 && i >= d.moved {
			break
		}
		out.Moved = append(out.Moved, shelf.Moved{From: dir, To: "/shelf/.trash/" + filepath.Base(dir)})
		d.all = slices.DeleteFunc(slices.Clone(d.all), func(e shelf.Entry) bool { return e.Dir == dir })
	}
	return out, d.refused
}

func (d *shelfDesk) Untrash(t shelf.Trashed) (left shelf.Trashed, err error) {
	d.did = append(d.did, fmt.Sprintf("untrash %d", len(t.Moved)))
	if d.refused != nil {
		left.Moved = t.Moved[min(d.backAgain, len(t.Moved)):]
	}
	return left, d.refused
}

func (d *shelfDesk) Relabel(dir string, l record.Label) error {
	d.did = append(d.did, fmt.Sprintf("relabel %s melt %q bar %q tags %q", dir, l.Melt, l.ID, l.Tags))
	return d.refused
}

func (d *shelfDesk) AddRemark(dir, text string) error {
	d.did = append(d.did, "remark "+dir+" "+text)
	return d.refused
}

func (d *shelfDesk) Recover(dir string) (string, error) {
	d.did = append(d.did, "recover "+dir)
	return "closed by what is intact: broken at 7,899 lbf, 812 readings intact", d.refused
}

func (d *shelfDesk) Measure(dir string) (Measuring, error) {
	d.did = append(d.did, "measure "+dir)
	return nil, d.refused
}

// madeUpTrace is a pull by hand: strokes up to a peak, and a break.
func madeUpTrace() *trace.Trace {
	t := &trace.Trace{Width: 200 * time.Millisecond, Loaded: 4 * time.Second, End: 50 * time.Second}
	for at := time.Duration(0); at < t.End; at += t.Width {
		s := at.Seconds()
		f := 0.0
		switch {
		case s >= 44:
		case s >= 4:
			f = 35_000 * math.Sqrt((math.Floor((s-4)/2)*2+min(1, math.Mod(s, 2))*2)/40)
		}
		t.Columns = append(t.Columns, trace.Column{At: at, Low: si.Force(0.99 * f), High: si.Force(f)})
		if si.Force(f) > t.PeakForce {
			t.PeakForce, t.Peak = si.Force(f), at
		}
	}
	t.Break = 44 * time.Second
	return t
}

func (d *shelfDesk) View() *bench.View { return &bench.View{Look: d.look} }

func (d *shelfDesk) Shelf() ([]shelf.Entry, error) { return d.all, d.err }

func (d *shelfDesk) Replay(record, rigFile string) (Player, error) {
	d.asked = append(d.asked, record+rigFile)
	return d.player, d.noPlay
}

// shelfPlayer is a player that stands still.
type shelfPlayer struct {
	*fake
	closed bool
}

func (*shelfPlayer) Playback() Playback { return Playback{} }
func (*shelfPlayer) Control(Transport)  {}
func (s *shelfPlayer) Close()           { s.closed = true }

// shelfBegan is when the newest of the made-up records began.
var shelfBegan = time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC)

// entryOf is the n-th of a shelf of made-up, simulated pulls of melts of seven
// bars; no metal was pulled.
func entryOf(n int) shelf.Entry {
	began := shelfBegan.Add(-time.Duration(n) * 37 * time.Minute)
	melt, bar := fmt.Sprintf("M%d", 40-n/7%40), 7-n%7
	e := shelf.Entry{
		Name: began.Format("2006-01-02T150405Z") + fmt.Sprintf("-%s-%d", melt, bar), Condition: shelf.Whole, Started: began, Kind: pull.Tension,
		Specimen: specimen.Specimen{ID: fmt.Sprint(bar), Melt: melt, Alloy: "C90500", Diameters: []si.Length{12.5e-3}, Simulated: true},
		RigName:  "bench press", Source: "sim:", Outcome: pull.Broken, Remarks: n % 3,
	}
	e.Dir = "/shelf/" + e.Name
	e.Peak = si.Force(35_000 + 137*(n*n%23))
	e.Stress = si.StressOn(e.Peak, e.Specimen.Area())
	switch n % 9 {
	case 4:
		e.Outcome, e.AtLeast, e.Counts, e.Because = pull.LetOff, e.Stress, strength.CountsNot, "let off, it did not break"
	case 6:
		e.Kind, e.Outcome = pull.Proof, pull.LetOff
	default:
		e.Strength = e.Stress
	}
	return e
}

func entriesOf(n int) []shelf.Entry {
	out := make([]shelf.Entry, n)
	for i := range out {
		out[i] = entryOf(i)
	}
	return out
}

// mixedEntries are one of each condition, and of each thing that may be missing.
func mixedEntries() []shelf.Entry {
	all := entriesOf(11)
	edit := func(i int, f func(e *shelf.Entry)) { f(&all[i]) }
	unread := func(i int, c shelf.Condition, name, why string) {
		all[i] = shelf.Entry{Dir: "/shelf/" + name, Name: name, Condition: c, Reason: why}
	}
	edit(0, func(e *shelf.Entry) {
		e.Condition, e.Outcome, e.Peak, e.Stress, e.Strength, e.Specimen.Simulated = shelf.Writing, "", 0, 0, 0, false
	})
	edit(1, func(e *shelf.Entry) {
		e.Condition, e.Outcome, e.Peak, e.Stress, e.Strength = shelf.Unfinished, "", 0, 0, 0
	})
	unread(2, shelf.Damaged, all[2].Name, "pull.json is torn, its end is missing; put it back from a copy")
	unread(3, shelf.Newer, all[3].Name, "made by a newer draghand (format 7): update")
	edit(4, func(e *shelf.Entry) { e.ByEye, e.Specimen.Simulated = true, false })
	edit(5, func(e *shelf.Entry) { e.Imported, e.Specimen.Simulated, e.Source = true, false, "import:pull.csv" })
	edit(7, func(e *shelf.Entry) {
		e.Specimen.Diameters, e.Stress, e.Strength = nil, 0, 0
	})
	edit(8, func(e *shelf.Entry) {
		e.Kind, e.Outcome, e.Strength = pull.Crush, pull.Ended, 0
	})
	edit(9, func(e *shelf.Entry) {
		e.Outcome, e.Peak, e.Stress, e.Strength = pull.Slack, 0, 0, 0
	})
	unread(10, shelf.Foreign, "holiday pictures", "no pull record: it holds no pull.json")
	return all
}

// hostileEntries have names that are wide, long, or meant to steer a terminal.
func hostileEntries() []shelf.Entry {
	all := entriesOf(6)
	for i, name := range []string{"鋳造溶解炉第七号試験片", "\x1b[2J\x1b]0;x\a\r\n\t", strings.Repeat("long", 40), "a\u0301\u0302\u0303\u0304\u202eb\u200d", "👩‍👩‍👧‍👦🇩🇪", ""} {
		e := &all[i]
		e.Specimen.Melt, e.Specimen.ID, e.Specimen.Alloy = name, name, name
		e.RigName, e.Source, e.Name, e.Specimen.Tags = name, name, name, []string{name, name}
	}
	all[5].Condition, all[5].Reason = shelf.Damaged, strings.Repeat("\x1b[31m鋳", 200)
	return all
}

// shelfScreen is a shelf of a size over a desk, not yet read.
func shelfScreen(d Desk, w, h int, profile termenv.Profile) ShelfScreen {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m := newShelfScreen(d, themeOf(r), si.US, &shelfMemory{}).(ShelfScreen)
	m.zone = time.UTC
	return shelfSend(m, tea.WindowSizeMsg{Width: w, Height: h})
}

func shelfSend(m ShelfScreen, msgs ...tea.Msg) ShelfScreen {
	for _, msg := range msgs {
		next, _ := m.Update(msg)
		m = next.(ShelfScreen)
	}
	return m
}

// shelfKey presses a key and gives what its command gives, which is run here.
func shelfKey(m ShelfScreen, name string) (ShelfScreen, tea.Msg) {
	next, cmd := m.Update(keyOf(name))
	if cmd == nil {
		return next.(ShelfScreen), nil
	}
	return next.(ShelfScreen), cmd()
}

// shelfStates are what the screen may show, each from a screen of any size.
func shelfStates() map[string]func(w, h int, p termenv.Profile) ShelfScreen {
	loaded := func(all []shelf.Entry, then func(ShelfScreen) ShelfScreen) func(w, h int, p termenv.Profile) ShelfScreen {
		return func(w, h int, p termenv.Profile) ShelfScreen {
			m := shelfSend(shelfScreen(&shelfDesk{all: all}, w, h, p), shelfRead{all: all})
			if then != nil {
				m = then(m)
			}
			return m
		}
	}
	choose := func(n int) func(ShelfScreen) ShelfScreen {
		return func(m ShelfScreen) ShelfScreen { m.move(n); return shelfSend(m, nil) }
	}
	keys := func(names ...string) func(ShelfScreen) ShelfScreen {
		return func(m ShelfScreen) ShelfScreen { return shelfKeysOf(m, names...) }
	}
	traced := func(then func(ShelfScreen) ShelfScreen) func(ShelfScreen) ShelfScreen {
		return func(m ShelfScreen) ShelfScreen {
			m = then(m)
			return shelfSend(m, shelfTraced{of: shelfTrace{dir: m.entry().Dir, trace: madeUpTrace()}})
		}
	}
	return map[string]func(w, h int, p termenv.Profile) ShelfScreen{
		"trace":        loaded(finishedEntries(), traced(choose(2))),
		"trace-by-eye": loaded(mixedEntries(), choose(4)),
		"trace-fault": loaded(finishedEntries(), func(m ShelfScreen) ShelfScreen {
			return shelfSend(m, shelfTraced{of: shelfTrace{dir: m.entry().Dir, fault: "not one valid reading is in it"}})
		}),
		"filter-empty":  loaded(finishedEntries(), keys("/")),
		"filter-typing": loaded(finishedEntries(), traced(keys("/", "m40 counts:yes"))),
		"filter-fault":  loaded(finishedEntries(), keys("/", "m40 strength>soft ")),
		"filter-kept":   loaded(finishedEntries(), keys("/", "melt=M39", "enter", "down")),
		"filter-none":   loaded(finishedEntries(), keys("/", "alloy:iron", "enter")),
		"sorted":        loaded(finishedEntries(), keys("s", "s", "s", "s", "S")),
		"marked":        loaded(finishedEntries(), keys(" ", "down", " ", "down", "B", "down", "B", "/", "m40-", "enter")),
		"trash-asked":   loaded(finishedEntries(), keys(" ", "down", " ", "x")),
		"trash-one":     loaded(finishedEntries(), keys("down", "x")),
		"label":         loaded(finishedEntries(), keys("down", "n", "tab", "tab", ", annealed")),
		"remark":        loaded(finishedEntries(), keys("down", "m", "a pore at the edge")),
		"unfinished":    loaded(mixedEntries(), choose(1)),
		"loading":       func(w, h int, p termenv.Profile) ShelfScreen { return shelfScreen(&shelfDesk{}, w, h, p) },
		"empty":         loaded(nil, nil),
		"some":          loaded(entriesOf(5), choose(1)),
		"many":          loaded(entriesOf(10_000), choose(5_000)),
		"mixed":         loaded(mixedEntries(), choose(1)),
		"damaged":       loaded(mixedEntries(), choose(2)),
		"hostile":       loaded(hostileEntries(), nil),
		"again":         loaded(entriesOf(5), func(m ShelfScreen) ShelfScreen { m, _ = shelfKey(m, "r"); return m }),
		"opening": loaded(entriesOf(5), func(m ShelfScreen) ShelfScreen {
			next, _ := m.Update(keyOf("enter"))
			return next.(ShelfScreen)
		}),
		"not-opened": loaded(entriesOf(5), func(m ShelfScreen) ShelfScreen {
			return shelfSend(m, shelfNotOpened{errors.New(`"/shelf/x/samples.csv" is damaged at byte 20 (line 2): no time`)})
		}),
		"stop": func(w, h int, p termenv.Profile) ShelfScreen {
			rig := at(39.9, 48.9e3)
			rig.snap.State.Phase = pull.Loading
			all := entriesOf(30)
			return shelfSend(shelfScreen(&shelfDesk{all: all, look: rig.raise(pull.Stop, nil).snap}, w, h, p), shelfRead{all: all})
		},
		"error": func(w, h int, p termenv.Profile) ShelfScreen {
			return shelfSend(shelfScreen(&shelfDesk{}, w, h, p), shelfRead{err: errors.New("read the shelf: open /shelf: permission denied")})
		},
	}
}

// shelfKeysOf presses keys; what is no name of a key is typed as a whole.
func shelfKeysOf(m ShelfScreen, names ...string) ShelfScreen {
	for _, n := range names {
		if k := keyOf(n); k.Type != tea.KeyRunes || len(n) == 1 {
			m = shelfSend(m, k)
			continue
		}
		m = shelfSend(m, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(n)})
	}
	return m
}

// finishedEntries are pulls of two melts with what was measured after: most count, one
// with remarks, one broke in the grip, one nobody looked at yet.
func finishedEntries() []shelf.Entry {
	all := entriesOf(14)
	for i := range all {
		e := &all[i]
		e.Specimen.Tags = []string{"wet-sand"}
		if e.Kind != pull.Tension || i == 5 {
			continue
		}
		e.Counts, e.Expanded = strength.Counts, 6.4e6
		long := 0.12 + float64(i)/100
		e.Elongation = &long
		switch i {
		case 2:
			e.Counts, e.Because = strength.CountsWithRemarks, "it broke outside the middle half of the gauge length"
		case 4:
			e.Counts, e.Because = strength.CountsNot, "it broke in the grip"
		}
	}
	return all
}

// keyOf is the message of a key by its name.
func keyOf(name string) tea.KeyMsg {
	for t := tea.KeyType(-60); t < 64; t++ {
		if (tea.Key{Type: t}).String() == name && t != tea.KeyRunes {
			return tea.KeyMsg{Type: t}
		}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}
