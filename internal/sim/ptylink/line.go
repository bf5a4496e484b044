//go:build linux || darwin || freebsd || openbsd

package ptylink

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"strings"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// line is the board's end of one pseudo-terminal. A new one is made for each
// reader, so that none sees what another left unread.
type line struct {
	fd   int    // the master, non-blocking
	name string // of the slave
}

func openLine() (*line, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, fmt.Errorf("no pseudo-terminal can be opened: %w", err)
	}
	defer master.Close()
	defer slave.Close() // unheld: a hang-up tells when the reader comes and goes
	l := &line{fd: -1, name: slave.Name()}
	if err := control(slave, raw); err != nil {
		return nil, fmt.Errorf("pseudo-terminal %s cannot be made raw: %w", l.name, err)
	}
	err = control(master, func(fd int) (err error) {
		l.fd, err = unix.FcntlInt(uintptr(fd), unix.F_DUPFD_CLOEXEC, 0)
		return err
	})
	if err == nil {
		err = unix.SetNonblock(l.fd, true)
	}
	if err != nil {
		l.close()
		return nil, fmt.Errorf("pseudo-terminal %s cannot be set up: %w", l.name, err)
	}
	return l, nil
}

func control(f *os.File, do func(fd int) error) error {
	c, err := f.SyscallConn()
	if err != nil {
		return err
	}
	var inner error
	if err := c.Control(func(fd uintptr) { inner = do(int(fd)) }); err != nil {
		return err
	}
	return inner
}

// raw switches off echo, line editing and every change of bytes. A reader may
// set the port up again; until it has, nothing of ours is echoed back.
func raw(fd int) error {
	t, err := unix.IoctlGetTermios(fd, getTermios)
	if err != nil {
		return err
	}
	t.Iflag &^= unix.IGNBRK | unix.BRKINT | unix.PARMRK | unix.ISTRIP | unix.INLCR | unix.IGNCR | unix.ICRNL | unix.IXON
	t.Oflag &^= unix.OPOST
	t.Lflag &^= unix.ECHO | unix.ECHONL | unix.ICANON | unix.ISIG | unix.IEXTEN
	t.Cflag &^= unix.CSIZE | unix.PARENB
	t.Cflag |= unix.CS8
	t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 1, 0
	return unix.IoctlSetTermios(fd, setTermios, t)
}

// opened says whether somebody holds the other end open.
func (l *line) opened() bool {
	p := []unix.PollFd{{Fd: int32(l.fd)}}
	for {
		_, err := unix.Poll(p, 0)
		if !errors.Is(err, unix.EINTR) {
			return err == nil && p[0].Revents&(unix.POLLHUP|unix.POLLERR|unix.POLLNVAL) == 0
		}
	}
}

// write takes as many bytes as fit now, 0 where none do.
func (l *line) write(b []byte) (int, error) {
	n, err := unix.Write(l.fd, b)
	if errors.Is(err, unix.EAGAIN) || errors.Is(err, unix.EINTR) {
		return max(n, 0), nil
	}
	return max(n, 0), err
}

// discard throws away what the reader wrote to the board.
func (l *line) discard() {
	var b [256]byte
	for range 64 {
		if n, err := unix.Read(l.fd, b[:]); n <= 0 || err != nil {
			return
		}
	}
}

func (l *line) close() {
	if l != nil && l.fd >= 0 {
		unix.Close(l.fd)
		l.fd = -1
	}
}

// place puts the link to the line's slave. It replaces a link to a
// pseudo-terminal, which an earlier run left behind, and nothing else.
func (l *line) place(link string) error {
	info, err := os.Lstat(link)
	switch {
	case errors.Is(err, os.ErrNotExist):
		if err := os.Symlink(l.name, link); err != nil {
			return fmt.Errorf("the link %s cannot be made: %w", link, err)
		}
		return nil
	case err != nil:
		return fmt.Errorf("the link %s cannot be looked at: %w", link, err)
	case info.Mode()&os.ModeSymlink == 0:
		return fmt.Errorf("%s is there already and no link of a simulator: nothing was changed, choose another name", link)
	}
	target, err := os.Readlink(link)
	if err != nil {
		return fmt.Errorf("the link %s cannot be read: %w", link, err)
	}
	if !isPseudoTerminal(target) {
		return fmt.Errorf("%s is a link to %s, which is no pseudo-terminal: nothing was changed, choose another name", link, target)
	}
	// Over a rename there is always a link to open.
	fresh := fmt.Sprintf("%s.new-%d", link, os.Getpid())
	os.Remove(fresh)
	if err := os.Symlink(l.name, fresh); err != nil {
		return fmt.Errorf("the link %s cannot be made: %w", link, err)
	}
	if err := os.Rename(fresh, link); err != nil {
		os.Remove(fresh)
		return fmt.Errorf("the link %s cannot be replaced: %w", link, err)
	}
	return nil
}

// isPseudoTerminal knows the names of slaves, and no real port by mistake.
func isPseudoTerminal(path string) bool {
	if strings.HasPrefix(path, "/dev/pts/") {
		return true
	}
	return runtime.GOOS != "linux" && (strings.HasPrefix(path, "/dev/ttys") || strings.HasPrefix(path, "/dev/ttyp"))
}

// remove takes the link away while it is still ours.
func (l *line) remove(link string) {
	if target, err := os.Readlink(link); err == nil && target == l.name {
		os.Remove(link)
	}
}
