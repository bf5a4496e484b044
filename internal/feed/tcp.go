package feed

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"time"
)

// dialFor is how long a peer may take to answer.
const dialFor = 5 * time.Second

// tcp reads a network connection, such as a board on the wireless network or a
// serial port served by another computer.
type tcp struct{ name, address string }

func newTCP(name, address string) (*tcp, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil || host == "" || port == "" {
		e := specError(name, "names no host and port", `write for example "tcp:192.0.2.7:4000"`)
		e.Err = err
		return nil, e
	}
	return &tcp{name, address}, nil
}

func (t *tcp) Name() string { return t.name }

// Run reads until the peer closes the connection, which is the end.
func (t *tcp) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(t.name, &err)
	dialer := net.Dialer{Timeout: dialFor}
	conn, err := dialer.DialContext(ctx, "tcp", t.address)
	if err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return &Error{
			What: fmt.Sprintf("no connection to %q: %v", t.address, netCause(err)),
			Hint: "look whether the board is on the network and the port is right, then start again",
			Err:  err,
			kind: ErrSource,
		}
	}
	defer conn.Close()
	// Closing wakes the read; a second Close is harmless.
	defer context.AfterFunc(ctx, func() { conn.Close() })()
	// A bridge to a serial port may begin anywhere within a line.
	out(Chunk{Kind: Opened, At: time.Now(), Torn: true})
	buf := make([]byte, blockSize)
	for {
		n, err := conn.Read(buf)
		at := time.Now()
		if ctx.Err() != nil {
			return nil
		}
		if n > 0 {
			out(Chunk{Kind: Data, At: at, Data: buf[:n]})
		}
		if errors.Is(err, io.EOF) {
			out(Chunk{Kind: End, At: at})
			return nil
		}
		if err != nil {
			lost := &Error{
				What: fmt.Sprintf("the connection to %q was lost: %v", t.address, netCause(err)),
				Hint: "look at the network and the board, then start again; what was read before is kept",
				Err:  err,
				kind: ErrSource,
			}
			out(Chunk{Kind: Lost, At: at, Err: lost})
			return lost
		}
	}
}

// netCause takes the addresses off an error that is going to be told with one.
func netCause(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		return op.Err
	}
	return err
}
