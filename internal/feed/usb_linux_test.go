package feed

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creack/pty"
)

// usbBus is a made-up tree of USB devices whose ports are pseudo-terminals.
type usbBus struct {
	t *testing.T
	usbTree
}

func newBus(t *testing.T) *usbBus {
	root := t.TempDir()
	b := &usbBus{t, usbTree{sys: filepath.Join(root, "sys"), dev: filepath.Join(root, "dev")}}
	for _, dir := range []string{b.dev, filepath.Join(b.sys, "class", "tty"), filepath.Join(b.sys, "dev", "char")} {
		b.must(os.MkdirAll(dir, 0o755))
	}
	// A console, as every system has: no device, no board.
	b.must(os.Mkdir(filepath.Join(b.sys, "class", "tty", "tty0"), 0o755))
	return b
}

func (b *usbBus) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

// gadget is a board on the bus.
type gadget struct {
	*board
	bus    *usbBus
	traces []string
}

// plug puts a board into a socket; the system names its port.
func (b *usbBus) plug(name string, id boardID) *gadget {
	b.t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		b.t.Skipf("no pseudo-terminals here: %v", err)
	}
	defer slave.Close()
	b.t.Cleanup(func() { master.Close() })
	number, ok := deviceNumber(slave.Name())
	if !ok {
		b.t.Fatalf("%s has no device number", slave.Name())
	}
	device := filepath.Join(b.sys, "devices", "usb1", id.socket)
	port := filepath.Join(device, id.socket+":1.0", name, "tty", name)
	b.must(os.MkdirAll(port, 0o755))
	for file, text := range map[string]string{
		filepath.Join(device, "idVendor"): id.vendor, filepath.Join(device, "idProduct"): id.product,
		filepath.Join(device, "serial"):                              id.serial,
		filepath.Join(device, id.socket+":1.0", "bInterfaceNumber"):  id.part,
		filepath.Join(device, id.socket+":1.0", name, "port_number"): "0",
		filepath.Join(port, "dev"):                                   number,
	} {
		if text != "" {
			b.must(os.WriteFile(file, []byte(text+"\n"), 0o644))
		}
	}
	b.must(os.Symlink("../..", filepath.Join(port, "device")))
	class, char := filepath.Join(b.sys, "class", "tty", name), filepath.Join(b.sys, "dev", "char", number)
	b.must(os.Symlink(port, class))
	b.must(os.Symlink(port, char))
	node := filepath.Join(b.dev, name)
	b.must(os.Symlink(slave.Name(), node))
	return &gadget{&board{b.t, node, master}, b, []string{class, char, device}}
}

func (g *gadget) unplug() {
	g.bus.t.Helper()
	for _, p := range g.traces {
		g.bus.must(os.RemoveAll(p))
	}
	g.board.unplug()
}

var (
	rigBoard = boardID{vendor: "1209", product: "0001", serial: "RIG-7", socket: "1-1", part: "00"}
	other    = boardID{vendor: "1209", product: "0001", serial: "OTHER", socket: "1-2", part: "00"}
	cheap    = boardID{vendor: "1209", product: "0002", socket: "1-1", part: "00"}
)

func (b boardID) in(socket string) boardID { b.socket = socket; return b }

func TestFollowsTheBoard(t *testing.T) {
	type plugged struct {
		name string
		id   boardID
	}
	rows := []struct {
		name   string
		before []plugged // the rig's board first
		after  []plugged
		want   string // name of the port; empty: another board is there
	}{
		{"same name", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB0", rigBoard}}, "ttyUSB0"},
		{"another name", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB1", rigBoard}}, "ttyUSB1"},
		{"another socket and name", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB1", rigBoard.in("1-3")}}, "ttyUSB1"},
		{"another board took its name", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB0", other}, {"ttyUSB1", rigBoard}}, "ttyUSB1"},
		{"another board alone", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB0", other}}, ""},
		{"nothing there", []plugged{{"ttyUSB0", rigBoard}}, nil, "ttyUSB0"},
		{"another board elsewhere", []plugged{{"ttyUSB0", rigBoard}}, []plugged{{"ttyUSB1", other}}, "ttyUSB0"},
		{"no serial number, same socket", []plugged{{"ttyUSB0", cheap}}, []plugged{{"ttyUSB1", cheap}}, "ttyUSB1"},
		{"no serial number, another socket, same name", []plugged{{"ttyUSB0", cheap}}, []plugged{{"ttyUSB0", cheap.in("1-4")}}, "ttyUSB0"},
		{"no serial number, another socket and name", []plugged{{"ttyUSB0", cheap}}, []plugged{{"ttyUSB1", cheap.in("1-4")}}, "ttyUSB0"},
		{
			"two with the same serial number: the other one is left",
			[]plugged{{"ttyUSB0", rigBoard}, {"ttyUSB1", rigBoard.in("1-5")}},
			[]plugged{{"ttyUSB1", rigBoard.in("1-5")}},
			"ttyUSB0",
		},
		{
			"two with the same serial number, the other way round",
			[]plugged{{"ttyUSB0", rigBoard}, {"ttyUSB1", rigBoard.in("1-5")}},
			[]plugged{{"ttyUSB0", rigBoard.in("1-5")}, {"ttyUSB1", rigBoard}},
			"ttyUSB1",
		},
		{
			"two without serial numbers, the other way round",
			[]plugged{{"ttyUSB0", cheap}, {"ttyUSB1", cheap.in("1-5")}},
			[]plugged{{"ttyUSB0", cheap.in("1-5")}, {"ttyUSB1", cheap}},
			"ttyUSB1",
		},
		{
			"two without serial numbers: the other one took its name, it is away",
			[]plugged{{"ttyUSB0", cheap}, {"ttyUSB1", cheap.in("1-5")}},
			[]plugged{{"ttyUSB0", cheap.in("1-5")}},
			"",
		},
		{
			"two without serial numbers, both as before",
			[]plugged{{"ttyUSB0", cheap}, {"ttyUSB1", cheap.in("1-5")}},
			[]plugged{{"ttyUSB0", cheap}, {"ttyUSB1", cheap.in("1-5")}},
			"ttyUSB0",
		},
		{
			"two without serial numbers: the other one is left",
			[]plugged{{"ttyUSB0", cheap}, {"ttyUSB1", cheap.in("1-5")}},
			[]plugged{{"ttyUSB1", cheap.in("1-5")}},
			"ttyUSB0",
		},
		{
			"no serial number, a second one came and took its name",
			[]plugged{{"ttyUSB0", cheap}},
			[]plugged{{"ttyUSB0", cheap.in("1-5")}, {"ttyUSB1", cheap}},
			"ttyUSB1",
		},
		{
			"no serial number, two like it in other sockets",
			[]plugged{{"ttyUSB0", cheap}},
			[]plugged{{"ttyUSB0", cheap.in("1-5")}, {"ttyUSB1", cheap.in("1-6")}},
			"",
		},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			bus := newBus(t)
			var there []*gadget
			for _, p := range r.before {
				there = append(there, bus.plug(p.name, p.id))
			}
			path := filepath.Join(bus.dev, r.before[0].name)
			id := bus.board(path)
			if id.vendor != r.before[0].id.vendor || id.serial != r.before[0].id.serial || id.socket != r.before[0].id.socket || id.part != "00" {
				t.Fatalf("the board is %+v, want %+v", id, r.before[0].id)
			}
			for _, g := range there {
				g.unplug()
			}
			for _, p := range r.after {
				bus.plug(p.name, p.id)
			}
			got, err := bus.follow(path, id)
			want := filepath.Join(bus.dev, r.want)
			if r.want == "" {
				if err != errOtherBoard {
					t.Errorf("follow = %q, %v, want errOtherBoard", got, err)
				}
			} else if err != nil || got != want {
				t.Errorf("follow = %q, %v, want %q", got, err, want)
			}
		})
	}
}

// What is no USB device is known by its path alone.
func TestFollowsNothingUnknown(t *testing.T) {
	bus := newBus(t)
	b := newBoard(t)
	if id := bus.board(b.link); id.known() {
		t.Errorf("a pseudo-terminal is %+v", id)
	}
	if got, err := bus.follow(b.link, boardID{}); got != b.link || err != nil {
		t.Errorf("follow = %q, %v", got, err)
	}
	// The tree of this system: whatever is there, looking does no harm.
	if id := systemUSB().board("/dev/null"); id.known() {
		t.Errorf("/dev/null is %+v", id)
	}
}

// Through the whole feed: the board comes back under another name, and the
// person is told which.
func TestSerialComesBackUnderAnotherName(t *testing.T) {
	bus := newBus(t)
	g := bus.plug("ttyUSB0", rigBoard)
	f := newSerial("serial:"+g.link, g.link, Options{Baud: DefaultBaud})
	f.usb = bus.usbTree
	r := start(t, f)
	r.until(Opened)
	for i, name := range []string{"ttyUSB1", "ttyUSB0"} {
		g.unplug()
		r.until(Lost)
		g = bus.plug(name, rigBoard)
		note := ""
		if name != "ttyUSB0" {
			note = "the same board is now " + g.link
		}
		if c := r.until(Back); c.Note != note {
			t.Errorf("back with the note %q, want %q", c.Note, note)
		}
		line := fmt.Sprintf("%d,812\n", i)
		g.send(line)
		if got := r.text(len(line)); got != line {
			t.Errorf("read %q, want %q", got, line)
		}
	}
	r.stop()
}

// A change of the socket is told; where no serial number shows that it is the
// same board, that is told too. From then on the new socket is its own.
func TestSerialTellsAnotherSocket(t *testing.T) {
	for _, r := range []struct {
		name string
		id   boardID
		to   string
		note string // the first time
		then string // in the same socket once more
	}{
		{"serial number", rigBoard, "ttyUSB0", "the same board is now in USB socket 1-4, it was in 1-1", ""},
		{"serial number, another name", rigBoard, "ttyUSB1", "the same board is now PORT, in USB socket 1-4, it was in 1-1", "the same board is now PORT"},
		{"no serial number", cheap, "ttyUSB0", "it is now in USB socket 1-4, it was in 1-1: it has no serial number, so look whether it is the rig's own board", ""},
	} {
		t.Run(r.name, func(t *testing.T) {
			bus := newBus(t)
			g := bus.plug("ttyUSB0", r.id)
			f := newSerial("serial:"+g.link, g.link, Options{Baud: DefaultBaud})
			f.usb = bus.usbTree
			run := start(t, f)
			run.until(Opened)
			for _, want := range []string{r.note, r.then} {
				g.unplug()
				run.until(Lost)
				g = bus.plug(r.to, r.id.in("1-4"))
				want = strings.ReplaceAll(want, "PORT", g.link)
				if c := run.until(Back); c.Note != want {
					t.Errorf("back with the note %q, want %q", c.Note, want)
				}
			}
			run.stop()
		})
	}
}

// Another board under the name is not read.
func TestSerialRefusesAnotherBoard(t *testing.T) {
	bus := newBus(t)
	g := bus.plug("ttyUSB0", rigBoard)
	f := newSerial("serial:"+g.link, g.link, Options{Baud: DefaultBaud, GiveUp: retryEvery})
	f.usb = bus.usbTree
	r := start(t, f)
	r.until(Opened)
	g.unplug()
	r.until(Lost)
	bus.plug("ttyUSB0", other)
	told(t, r.end(), "another board is at", "the rig's own board")
}
