package record

import "errors"

// Abandon takes back a record in which nothing was ever recorded, because the
// source could not even be opened: the folder goes again. A record that holds a
// line is never removed: that is an error, and Close is called for. After it
// the writer takes no more lines, and Close does nothing. What the file system
// does not let go stays, an empty record; that is no error.
func (w *Writer) Abandon() error {
	w.moving <- struct{}{}
	defer w.moved()
	w.mu.Lock()
	if w.closed || w.stopped || w.lines > 0 || w.dropped > 0 || w.bad > 0 {
		w.mu.Unlock()
		return errors.New("abandon the record: it holds lines or is closed; close it")
	}
	w.stopped, w.closed = true, true
	tg := w.tg
	w.mu.Unlock()
	close(tg.quit)
	tg.done.Wait()
	tg.discard()
	return nil
}
