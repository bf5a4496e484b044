//go:build unix

package picture

import "bytes"

// rawKept is how much of what a program wrote is kept as it is.
const rawKept = 8 << 20

// keep appends to the raw bytes and drops the oldest half when there are too
// many. The caller holds the lock.
func (t *Terminal) keep(b []byte) {
	if len(t.raw)+len(b) > rawKept {
		t.raw = append(t.raw[:0], t.raw[len(t.raw)/2:]...)
	}
	t.raw = append(t.raw, b...)
}

// Raw is what the program has written to its terminal, byte by byte; of a very
// long run the newest part.
func (t *Terminal) Raw() []byte {
	t.mu.Lock()
	defer t.mu.Unlock()
	return bytes.Clone(t.raw)
}

// Bells is how often the program rang the bell: BEL bytes that do not end an
// operating system command.
func (t *Terminal) Bells() int {
	n, inCommand := 0, false
	raw := t.Raw()
	for i, b := range raw {
		switch {
		case b == ']' && i > 0 && raw[i-1] == 0x1b:
			inCommand = true
		case b == '\a' && inCommand, b == 0x1b && inCommand:
			inCommand = false
		case b == '\a':
			n++
		}
	}
	return n
}

// PID is the program's process.
func (t *Terminal) PID() int { return t.cmd.Process.Pid }
