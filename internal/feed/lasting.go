package feed

import (
	"context"
	"fmt"
	"io"
	"time"
)

const (
	// retryEvery is the pause before a lost source is tried again: short, since
	// somebody may be under load and blind meanwhile.
	retryEvery = 250 * time.Millisecond
	// retryMost is the longest pause, for a source that opens and is lost again
	// at once, such as a bridge that turns away a second caller: without it the
	// record would fill with marks.
	retryMost = 2 * time.Second
	// steady is how long a source must have been open for the pause to be the
	// short one again.
	steady = time.Second
)

// port is an open source. A Read that gives 0 and no error means that the line
// is idle. Close may be called more than once.
type port interface {
	io.ReadCloser
}

// noPort stands for a port that is not open.
type noPort struct{}

func (noPort) Read([]byte) (int, error) { return 0, io.EOF }
func (noPort) Close() error             { return nil }

// losable is a kind of source that can be lost and come back.
type losable interface {
	// what names it in a sentence.
	what() string
	// open opens it; again says that it was open before. note is what a person
	// may want to know about how it came back, mostly empty. The port wakes
	// from its Read within 50 ms when ctx is done.
	open(ctx context.Context, again bool) (p port, note string, err error)
	// refused tells why it cannot be opened.
	refused(err error) *Error
	// gone tells a failed read in a few words.
	gone(err error) error
}

// last reads a source until ctx is done, and tries it again whenever it is lost,
// for giveUp at the longest (0: for ever). A source that cannot be opened at the
// start is an error.
func last(ctx context.Context, l losable, buf []byte, giveUp time.Duration, out func(Chunk)) error {
	p, _, err := l.open(ctx, false)
	switch {
	case ctx.Err() != nil:
		if err == nil {
			p.Close()
		}
		return nil
	case err != nil:
		return l.refused(err)
	}
	defer func() { p.Close() }()              // of whichever port is open at the end
	opened, pause := time.Now(), retryEvery/2 // the first time lost, it is retryEvery in any case
	out(Chunk{Kind: Opened, At: opened, Torn: true})
	for {
		why := pump(ctx, p, buf, out)
		// Before it is looked for: the system may give a board another name
		// while its old one is still held open.
		p.Close()
		if ctx.Err() != nil {
			return nil
		}
		lostAt := time.Now()
		pause = nextPause(pause, lostAt.Sub(opened))
		why = l.gone(why)
		out(Chunk{Kind: Lost, At: lostAt, Err: &Error{
			What: fmt.Sprintf("%s was lost: %v", l.what(), why),
			Hint: "look at the plug, the cable and the board: it is tried again until it is back",
			Err:  why,
			kind: ErrSource,
		}})
		var note string
		if p, note, err = reopen(ctx, l, pause, lostAt, giveUp); err != nil {
			return err
		}
		if ctx.Err() != nil {
			return nil
		}
		opened = time.Now()
		out(Chunk{Kind: Back, At: opened, Torn: true, Note: note})
	}
}

// nextPause is the pause after a source that was open for so long is lost.
func nextPause(pause, open time.Duration) time.Duration {
	if open >= steady {
		return retryEvery
	}
	return min(2*pause, retryMost)
}

// pump hands on what p gives until it is lost (the answer says why) or ctx is
// done.
func pump(ctx context.Context, p io.Reader, buf []byte, out func(Chunk)) error {
	for ctx.Err() == nil {
		n, err := p.Read(buf)
		at := time.Now()
		if n > 0 {
			out(Chunk{Kind: Data, At: at, Data: buf[:n]})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// reopen tries the source until it is open, ctx is done, or the time to give up
// has come. While ctx is live and the error nil, the port is open. Every error
// is tried again: a board that was just plugged in may be missing, forbidden
// until the system has set its rights, or busy; a computer that starts refuses
// connections at first.
func reopen(ctx context.Context, l losable, pause time.Duration, lostAt time.Time, giveUp time.Duration) (port, string, error) {
	wait := time.NewTimer(pause)
	defer wait.Stop()
	for {
		select {
		case <-ctx.Done():
			return noPort{}, "", nil
		case <-wait.C:
		}
		p, note, err := l.open(ctx, true)
		if err == nil {
			return p, note, nil
		}
		if ctx.Err() != nil {
			return noPort{}, "", nil
		}
		if away := time.Since(lostAt); giveUp > 0 && away >= giveUp {
			e := l.refused(err)
			e.What = fmt.Sprintf("%s was lost and is not back after %v: %v", l.what(), giveUp, e.What)
			return noPort{}, "", e
		}
		wait.Reset(pause)
	}
}
