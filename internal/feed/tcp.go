package feed

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strconv"
	"time"
)

const (
	// dialFor is how long a peer may take to answer.
	dialFor = 5 * time.Second
	// redialFor is the same for a lost one. Shorter, because the pauses between
	// unanswered calls double within one attempt (1, 2, 4 s), and a network that
	// is back should be noticed soon.
	redialFor = 2 * time.Second
)

// alive is how a peer is found dead that cannot say so any more (power off, out
// of range): after 5 s without a byte it is asked every 2 s, and lost after three
// questions without an answer. That is some 11 s; the silence itself is told long
// before by whoever reads the feed. It is a function because a network's values
// are no constants.
func alive() net.KeepAliveConfig {
	return net.KeepAliveConfig{Enable: true, Idle: 5 * time.Second, Interval: 2 * time.Second, Count: 3}
}

// tcp reads a network connection, such as a board on the wireless network or a
// serial port served by another computer, and connects again when it is lost.
type tcp struct {
	name, address string
	giveUp        time.Duration
	keep          net.KeepAliveConfig
}

func newTCP(name, address string, o Options) (*tcp, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil || host == "" || port == "" {
		e := specError(name, "names no host and port", `write for example "tcp:192.0.2.7:4000", or "tcp:[2001:db8::7]:4000" with brackets`)
		e.Err = err
		return nil, e
	}
	if n, err := strconv.Atoi(port); err != nil || n < 1 || n > 65535 {
		return nil, specError(name, fmt.Sprintf("has no port %q", port), "give a number from 1 to 65535 after the last colon")
	}
	return &tcp{name: name, address: address, giveUp: o.GiveUp, keep: alive()}, nil
}

func (t *tcp) Name() string { return t.name }

// Run reads until ctx is done. A connection that the other side closes is lost
// too: a bridge or a board that restarts closes it just so, and under load
// nobody must take that for the end.
func (t *tcp) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(t.name, &err)
	return last(ctx, t, make([]byte, blockSize), t.giveUp, out)
}

func (t *tcp) what() string { return fmt.Sprintf("the connection to %q", t.address) }

func (t *tcp) open(ctx context.Context, again bool) (port, string, error) {
	dialer := net.Dialer{Timeout: dialFor, KeepAliveConfig: t.keep}
	if again {
		dialer.Timeout = redialFor
	}
	conn, err := dialer.DialContext(ctx, "tcp", t.address)
	if err != nil {
		return nil, "", err
	}
	// Closing wakes the read; a second Close is harmless.
	return &connection{conn, context.AfterFunc(ctx, func() { conn.Close() })}, "", nil
}

// connection is an open connection that closes when its context is done.
type connection struct {
	net.Conn
	forget func() bool
}

// Close closes and forgets the context.
func (c *connection) Close() error {
	c.forget()
	return c.Conn.Close()
}

func (t *tcp) refused(err error) *Error {
	e := &Error{
		What: fmt.Sprintf("no connection to %q: %v", t.address, netCause(err)),
		Hint: "look whether the board is on the network and the port is right, then start again",
		Err:  err,
		kind: ErrSource,
	}
	var name *net.DNSError
	if errors.As(err, &name) {
		e.What = fmt.Sprintf("no connection to %q: the name %q cannot be found on the network", t.address, name.Name)
		e.Hint = `look at the spelling, or give the address in numbers, such as "tcp:192.0.2.7:4000"`
	}
	return e
}

var errHungUp = errors.New("the other side closed it")

func (t *tcp) gone(err error) error {
	if errors.Is(err, io.EOF) {
		return errHungUp
	}
	return netCause(err)
}

// netCause takes the addresses off an error that is going to be told with one.
func netCause(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		return op.Err
	}
	return err
}
