package tui

import (
	"fmt"
	"os"
	"slices"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/bench"
	"draghand/internal/rig"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// fakeDesk is a desk that stands still but for what is set on it, and keeps what
// was asked of it.
type fakeDesk struct {
	Records       // nil: the bench asks nothing of them
	zeroErr error // why no zero is taken
	mu      sync.Mutex
	view    bench.View
	ended   *bench.Ended
	closing int // how often Ended is nil before it is known
	asked   []string
	shown   *bench.View // that arming was asked for

	src     Source
	armErr  error
	setErr  error
	ports   []string
	portErr error
	rigs    []string
	player  Player
	playErr error
	keepErr error

	measuring *fakeMeasuring
}

func (d *fakeDesk) did(format string, a ...any) { d.asked = append(d.asked, fmt.Sprintf(format, a...)) }

func (d *fakeDesk) calls() []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.asked)
}

func (d *fakeDesk) View() *bench.View {
	d.mu.Lock()
	defer d.mu.Unlock()
	v := d.view
	v.Fields, v.Points = slices.Clone(v.Fields), slices.Clone(v.Points)
	return &v
}

func (d *fakeDesk) Set(id bench.FieldID, text string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("set %s %q", id, text)
	for i := range d.view.Fields {
		if f := &d.view.Fields[i]; f.ID == id {
			f.Text, f.Read, f.Fault = text, "", ""
			if d.setErr != nil {
				f.Fault = d.setErr.Error()
			}
		}
	}
	return d.setErr
}

func (d *fakeDesk) Confirm(id bench.PointID, done bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("confirm %s %v", id, done)
	for i := range d.view.Points {
		if d.view.Points[i].ID == id {
			d.view.Points[i].Done = done
		}
	}
}

func (d *fakeDesk) Zero() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("zero")
	return d.zeroErr
}

func (d *fakeDesk) ShowIn(u si.System) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.view.Units = u
}

func (d *fakeDesk) Arm(reason string, shown *bench.View) (Source, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("arm %q", reason)
	d.shown = shown
	if d.armErr != nil {
		return nil, d.armErr
	}
	return d.src, nil
}

func (d *fakeDesk) Ended() *bench.Ended {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closing > 0 {
		d.closing--
		return nil
	}
	return d.ended
}

func (d *fakeDesk) Remark(text string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("remark %q", text)
	if d.keepErr == nil && d.ended != nil {
		e := *d.ended
		e.Remarks = append(slices.Clone(e.Remarks), text)
		d.ended = &e
	}
	return d.keepErr
}

func (d *fakeDesk) NextBar() { d.mu.Lock(); defer d.mu.Unlock(); d.did("next bar") }

func (d *fakeDesk) Ports() ([]string, error)      { return d.ports, d.portErr }
func (d *fakeDesk) Rigs() []string                { return d.rigs }
func (d *fakeDesk) Shelf() ([]shelf.Entry, error) { return nil, nil }

func (d *fakeDesk) Replay(record, rigFile string) (Player, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("replay %s %s", record, rigFile)
	return d.player, d.playErr
}

func (d *fakeDesk) Measure(record string) (Measuring, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.did("measure %s", record)
	return d.measuring, d.playErr
}

// fakePlayer is a saved pull that stands still.
type fakePlayer struct {
	*fake
	mu     sync.Mutex
	closed int
}

func (p *fakePlayer) Playback() Playback { return Playback{} }
func (p *fakePlayer) Control(Transport)  {}
func (p *fakePlayer) Close()             { p.mu.Lock(); defer p.mu.Unlock(); p.closed++ }

// exampleRig is the rig of the design, as its file has it.
func exampleRig() *rig.Rig {
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		panic(err)
	}
	return r
}

// benchLook is the rig of the fixtures before the load.
func benchLook() *watch.Snapshot {
	snap := at(3.5, 38e3).snap
	snap.Record, snap.RigName = watch.Record{}, "example rig (simulated)"
	snap.State.Noise = 0.02e5
	snap.State.Live.Gauge, snap.State.Live.Specimen = 0.021e5, 44
	return snap
}

// points are those of the design, the first few of them seen to.
func points(done int) []bench.Point {
	texts := []string{
		"guard up between the bar and everybody in the room", "eyes and face covered, of everybody in the room",
		"nobody in line with the pins or the pull", "nobody reaches in while there is load, whatever slips",
		"fittings and hoses looked over; no bare hand near a leak", "air bled from the ram and the hose",
		"ram stroke left for all that will stretch", "transducer and fitting are proofed above what is planned",
		"brittle bars throw pieces: both halves will be caught", "arms as written: 4.331 in to the bar, 4.331 in far side",
		"no known limit, accepted: pins",
	}
	out := make([]bench.Point, len(texts))
	for i, t := range texts {
		out[i] = bench.Point{
			ID: bench.PointID(fmt.Sprintf("p%d", i+1)), Text: t, Done: i < done,
			Why: "Oil from a pinhole goes through skin and glove; it is a case for the hospital at once, however small it looks.",
		}
	}
	return out
}

// readyDesk is a bench with everything seen to.
func readyDesk() *fakeDesk {
	field := func(id bench.FieldID, label, text, read, hint string, choices ...string) bench.Field {
		return bench.Field{ID: id, Label: label, Text: text, Read: read, Hint: hint, Choices: choices}
	}
	d := &fakeDesk{view: bench.View{
		Fields: []bench.Field{
			field(bench.FieldRig, "rig file", "example", "", "rig.toml; draghand rig new prints one to fill in"),
			field(bench.FieldSource, "source", "", "sim:", "serial:/dev/ttyACM0, tcp:HOST:PORT, or sim: to practise"),
			field(bench.FieldKind, "kind", "", "tension", "tension breaks a bar, crush presses a block, proof holds a force", "tension", "crush", "proof"),
			field(bench.FieldMelt, "melt", "M1", "", "M12"),
			field(bench.FieldTags, "tags", "sand mould, 1150 C", "", "sand mould, poured at 1150 C"),
			field(bench.FieldSpecimen, "specimen", "M1-3", "", "3"),
			field(bench.FieldAlloy, "alloy", "C90500", "", "C90500"),
			field(bench.FieldDiameters, "diameters", "12.5 mm; 12.48 mm", "0.4921 in, 0.4913 in: 0.4913 in counts", "12.51 mm, 12.49 mm along the bar; the smallest counts"),
			field(bench.FieldGauge, "gauge length", "50 mm", "1.969 in", "50 mm between the marks"),
			field(bench.FieldYield, "least yield", "", "", "20 ksi; what gives way below it is another part"),
			field(bench.FieldExpect, "breaks at", "40 ksi .. 50 ksi", "4,870 to 6,087 lbf", "40 ksi .. 50 ksi"),
		},
		Points: points(11), Rig: exampleRig(), Unknown: []string{"pins"},
		Source: bench.SourceOpen, Look: benchLook(), Units: si.US,
	}, src: at(1.5, 38e3)}
	return d
}

// with changes a field of the bench.
func (d *fakeDesk) with(id bench.FieldID, edit func(*bench.Field)) *fakeDesk {
	for i := range d.view.Fields {
		if d.view.Fields[i].ID == id {
			edit(&d.view.Fields[i])
		}
	}
	return d
}

func (d *fakeDesk) refuse(rs ...bench.Refusal) *fakeDesk {
	d.view.Refusals = append(d.view.Refusals, rs...)
	return d
}

var (
	noRig      = bench.Refusal{What: "no rig is chosen", Next: "press r and take one, or write its file's name", Final: true}
	noReading  = bench.Refusal{What: "no reading comes from the source", Next: "look at the cable, the baud rate and the columns of the rig file", Final: true}
	noDiameter = bench.Refusal{What: "no diameter is given", Next: "measure the bar at three places; without it there is no strength"}
	unseen     = bench.Refusal{What: "8 points of 11 are not seen to: reach, oil, air, …", Next: "go round the rig and confirm each"}
	noZero     = bench.Refusal{What: "no zero is taken", Next: "keep everything off the rig for 2 s, or press z"}
	unknownPin = bench.Refusal{What: "a part has no known limit: pins", Next: "accept it knowingly, with a reason"}
)

// app is a sitting over a desk, of a size and with a colour profile.
func app(d Desk, w, h int, profile termenv.Profile) App {
	a := newApp(d, Options{Out: os.Stdout, Units: si.US})
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	a.theme = themeOf(r)
	a.front = newBenchScreen(d, a.theme)
	return tell(a, tea.WindowSizeMsg{Width: w, Height: h})
}

// afterApp is a sitting whose pull has just closed.
func afterApp(d *fakeDesk, w, h int, profile termenv.Profile) App {
	a := app(d, w, h, profile)
	a, _ = a.told(openAfter{})
	return tell(a, screenMsg{a.id, endedMsg{d.Ended()}})
}

// tell hands messages over and drops what they lead to.
func tell(a App, msgs ...tea.Msg) App {
	for _, msg := range msgs {
		next, _ := a.Update(msg)
		a = next.(App)
	}
	return a
}

// keyNamed is a key by its name, or text.
func keyNamed(s string) tea.KeyMsg {
	named := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab, "up": tea.KeyUp, "down": tea.KeyDown,
		"left": tea.KeyLeft, "right": tea.KeyRight, "pgdown": tea.KeyPgDown, "backspace": tea.KeyBackspace, "ctrl+u": tea.KeyCtrlU,
		"home": tea.KeyHome, "end": tea.KeyEnd, "delete": tea.KeyDelete, "ctrl+w": tea.KeyCtrlW, "ctrl+k": tea.KeyCtrlK,
	}
	if s == " " {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	if k, ok := named[s]; ok {
		return tea.KeyMsg{Type: k}
	}
	return keyMsg(s)
}

// drive presses keys and runs everything they lead to except ticks; it says
// whether the program is to end.
func drive(t *testing.T, a App, keys ...string) (App, bool) {
	t.Helper()
	for _, k := range keys {
		var quit bool
		next, cmd := a.Update(keyNamed(k))
		a, quit = follow(t, next.(App), cmd, 0)
		if quit {
			return a, true
		}
	}
	return a, false
}

// follow runs a command and what it leads to. A command that takes longer than a
// tick is one, and is dropped.
func follow(t *testing.T, a App, cmd tea.Cmd, deep int) (App, bool) {
	t.Helper()
	if cmd == nil || deep > 20 {
		return a, false
	}
	got := make(chan tea.Msg, 1)
	go func() { got <- cmd() }()
	var msg tea.Msg
	select {
	case msg = <-got:
	case <-time.After(5 * time.Second):
		t.Fatal("a command never ends")
	}
	switch msg := msg.(type) {
	case nil:
		return a, false
	case tea.QuitMsg:
		return a, true
	case tea.BatchMsg:
		quit := false
		for _, c := range msg {
			var q bool
			a, q = follow(t, a, c, deep+1)
			quit = quit || q
		}
		return a, quit
	case screenMsg:
		if _, ok := msg.msg.(tickMsg); ok {
			return a, false
		}
	}
	next, more := a.Update(msg)
	return follow(t, next.(App), more, deep+1)
}
