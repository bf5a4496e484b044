package watch

import "sync"

// queueLimit bounds the events a listener that does not listen can pile up.
// Past it only peaks are dropped: each is overtaken by the next.
const queueLimit = 4096

// queue hands events to a listener on a goroutine of its own, so that a
// stalled terminal or pipe never holds up a reading.
type queue struct {
	mu     sync.Mutex
	wake   chan struct{}
	events []Event
	closed bool
}

func newQueue() *queue { return &queue{wake: make(chan struct{}, 1)} }

func (q *queue) put(e Event, droppable bool) {
	q.mu.Lock()
	if !(droppable && len(q.events) >= queueLimit) && len(q.events) < 16*queueLimit {
		q.events = append(q.events, e)
	}
	q.mu.Unlock()
	q.signal()
}

func (q *queue) close() {
	q.mu.Lock()
	q.closed = true
	q.mu.Unlock()
	q.signal()
}

func (q *queue) signal() {
	select {
	case q.wake <- struct{}{}:
	default:
	}
}

// drain calls listen for every event until the queue is closed and empty.
func (q *queue) drain(listen func(Event)) {
	for {
		q.mu.Lock()
		batch, closed := q.events, q.closed
		q.events = nil
		q.mu.Unlock()
		for _, e := range batch {
			listen(e)
		}
		if len(batch) == 0 {
			if closed {
				return
			}
			<-q.wake
		}
	}
}
