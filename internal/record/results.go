package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// KeepResults puts the results of a closed record, of its head as it was opened, into
// pull.json, in one step and under the record's lock; everything else in it keeps its
// very text. What somebody put into the record since it was opened stands: then, and
// where it has results already, nothing is written and that is no error. Whatever the
// error, nothing has changed.
func KeepResults(rec *Record, results json.RawMessage) error {
	return keepResults(OS{}, rec, results)
}

func keepResults(fsys FS, rec *Record, results json.RawMessage) (err error) {
	if rec.Head.Closing == nil {
		return errors.New("keep the results: the record is not closed")
	}
	if !json.Valid(results) {
		return errors.New("keep the results: they are no JSON")
	}
	was, err := encodeHead(rec.Head)
	if err != nil {
		return fmt.Errorf("keep the results: %w", err)
	}
	unlock, err := Lock(rec.Dir)
	if err != nil {
		return fmt.Errorf("keep the results: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	path := filepath.Join(rec.Dir, HeadFile)
	text, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("keep the results: %w", err)
	}
	h, err := decodeHead(path, text)
	if err != nil {
		return err
	}
	now, err := encodeHead(h)
	if err != nil {
		return fmt.Errorf("keep the results: %w", err)
	}
	if len(h.Results) > 0 || !bytes.Equal(was, now) {
		return nil
	}
	if text, err = withField(text, "results", results, "closing"); err == nil {
		err = replace(fsys, path, text)
	}
	if err != nil {
		return fmt.Errorf("keep the results: %w", err)
	}
	return nil
}
