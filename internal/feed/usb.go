package feed

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
)

// usbTree is where Linux shows which USB device is behind which port, as plain
// files: to read them touches no port. (The serial library's own listing opens
// ports and sets them anew, ports in use among them, so it must not be used
// while a pull is recorded.) Elsewhere these folders do not exist, nothing is
// known of any board, and a port is found again by its path alone.
type usbTree struct {
	sys string // holds class/tty/NAME and dev/char/MAJOR:MINOR
	dev string // holds the nodes
}

// systemUSB is the tree of the running system.
func systemUSB() usbTree { return usbTree{sys: "/sys", dev: "/dev"} }

// boardID is what tells one board from another. The zero value: nothing known.
type boardID struct {
	vendor, product string
	serial          string // often missing; on cheap adapters often the same for all
	socket          string // the USB socket it is plugged into, such as 1-1.2
	part            string // which of the ports of one board
	twin            bool   // another one like it was there too, in whatever socket
}

func (b boardID) known() bool { return b.vendor != "" }

// alike says whether nothing but the socket tells o from b.
func (b boardID) alike(o boardID) bool {
	return b.vendor == o.vendor && b.product == o.product && b.part == o.part && b.serial == o.serial
}

// is says whether o is alike and in the same socket.
func (b boardID) is(o boardID) bool { return b.alike(o) && b.socket == o.socket }

// errOtherBoard: its readings would be taken for those of the rig.
var errOtherBoard = errors.New("another board is there under this name")

// board tells what is behind the port at path.
func (u usbTree) board(path string) boardID {
	b := u.identify(path)
	if !b.known() {
		return b
	}
	_, alike := u.look(b)
	b.twin = len(alike) > 1
	return b
}

// look lists the ports of boards that are b, and of all that are like it.
func (u usbTree) look(b boardID) (same, alike []string) {
	u.each(func(name string, o boardID) {
		if b.is(o) {
			same = append(same, name)
		}
		if b.alike(o) {
			alike = append(alike, name)
		}
	})
	return same, alike
}

// follow gives the path under which board b, last seen at path, is now. It is
// path itself unless b stands elsewhere; another board at path is an error.
//
// The socket is asked first, whatever the names: two adapters without serial
// numbers that come back the other way round differ in nothing else. Only where
// there never was a second one like it may b be in another socket: with its
// serial number under any name, without one under its old name.
func (u usbTree) follow(path string, b boardID) (string, error) {
	if !b.known() {
		return path, nil
	}
	here := u.identify(path)
	if b.is(here) {
		return path, nil
	}
	same, alike := u.look(b)
	if len(same) == 1 {
		return filepath.Join(u.dev, same[0]), nil
	}
	if !b.twin && len(alike) == 1 {
		switch {
		case b.alike(here):
			return path, nil
		case b.serial != "":
			return filepath.Join(u.dev, alike[0]), nil
		}
	}
	if here.known() {
		return "", errOtherBoard
	}
	return path, nil
}

// each calls f for every port that belongs to a USB device.
func (u usbTree) each(f func(name string, b boardID)) {
	class := filepath.Join(u.sys, "class", "tty")
	entries, err := os.ReadDir(class)
	if err != nil {
		return // not Linux
	}
	for _, e := range entries {
		at := filepath.Join(class, e.Name())
		if _, err := os.Lstat(filepath.Join(at, "device")); err != nil {
			continue // a console: most are
		}
		if b := u.ownerOf(at); b.known() {
			f(e.Name(), b)
		}
	}
}

// identify tells which board the node at path belongs to, by its device number:
// the path may be a link of any name.
func (u usbTree) identify(path string) boardID {
	number, ok := deviceNumber(path)
	if !ok {
		return boardID{}
	}
	return u.ownerOf(filepath.Join(u.sys, "dev", "char", number))
}

// ownerOf walks from a port up to the USB device it belongs to.
func (u usbTree) ownerOf(link string) boardID {
	root, err := filepath.EvalSymlinks(u.sys)
	if err != nil {
		return boardID{}
	}
	at, err := filepath.EvalSymlinks(link)
	if err != nil {
		return boardID{}
	}
	var b boardID
	for ; len(at) > len(root); at = filepath.Dir(at) {
		if part := attribute(at, "bInterfaceNumber"); part != "" {
			b.part = part
		}
		if b.vendor = attribute(at, "idVendor"); b.vendor != "" {
			b.product, b.serial = attribute(at, "idProduct"), attribute(at, "serial")
			b.socket = filepath.Base(at)
			return b
		}
	}
	return boardID{}
}

// attribute reads one fact the system states of a device; empty without it.
func attribute(dir, name string) string {
	text, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}
