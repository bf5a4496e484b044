package feed

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// stdin reads standard input.
type stdin struct{ in io.Reader }

func newStdin(o Options) *stdin {
	if o.Stdin != nil {
		return &stdin{o.Stdin}
	}
	return &stdin{os.Stdin}
}

func (s *stdin) Name() string { return "-" }

// block is one read of standard input.
type block struct {
	data []byte
	at   time.Time
	err  error
}

// Run hands on what comes, then End. A read of standard input cannot be called
// off: it may be a terminal or a pipe that was opened by another program, where
// deadlines do not work and closing does not wake the reader. So the reading is
// done by a goroutine that is left behind, blocked, when ctx is done; it holds
// one buffer and ends with the program.
func (s *stdin) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(s.Name(), &err)
	out(Chunk{Kind: Opened, At: time.Now()})
	blocks := make(chan block)
	free := make(chan struct{})
	go read(ctx, s.in, blocks, free)
	for {
		var b block
		select {
		case <-ctx.Done():
			return nil
		case b = <-blocks:
		}
		if len(b.data) > 0 {
			out(Chunk{Kind: Data, At: b.at, Data: b.data})
		}
		if errors.Is(b.err, io.EOF) {
			out(Chunk{Kind: End, At: b.at})
			return nil
		}
		if b.err != nil {
			return &Error{
				What: fmt.Sprintf("standard input cannot be read: %v", cause(b.err)),
				Hint: "look at the program that sends the lines; what was read before is kept",
				Err:  b.err,
				kind: ErrSource,
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case free <- struct{}{}:
		}
	}
}

// read hands on each read of in and waits until its buffer is free again.
func read(ctx context.Context, in io.Reader, blocks chan<- block, free <-chan struct{}) {
	buf := make([]byte, blockSize)
	for {
		b := readBlock(in, buf)
		select {
		case <-ctx.Done():
			return
		case blocks <- b:
		}
		if b.err != nil {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-free:
		}
	}
}

// readBlock reads once. A reader that panics has failed.
func readBlock(in io.Reader, buf []byte) (b block) {
	defer caught("-", &b.err)
	n, err := in.Read(buf)
	return block{data: buf[:n], at: time.Now(), err: err}
}
