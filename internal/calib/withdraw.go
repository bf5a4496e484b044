package calib

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"
)

// Withdrawal is why a calibration is not used any more. Its file stays, since pulls
// may have been reckoned by it.
type Withdrawal struct {
	At     time.Time `json:"at"`
	Reason string    `json:"reason"`
	By     string    `json:"replaced_by,omitempty"` // ID of the one in its place
}

// Words are a withdrawal in few words.
func (w *Withdrawal) Words() string {
	out := "withdrawn " + w.At.Format(time.DateOnly) + ": " + w.Reason
	if w.By != "" {
		out += ", replaced by " + w.By
	}
	return out
}

// mostReason is how long a reason may be, in bytes.
const mostReason = 1000

// Withdraw marks a calibration of a shelf, by its ID, as not to be used any more, and
// gives its path. by is the ID of the one in its place, if there is one. One that is
// withdrawn already, or cannot be read, is an error, as is an empty reason.
func Withdraw(shelf, id, reason, by string, now time.Time) (path string, err error) {
	reason = strings.Join(strings.Fields(reason), " ")
	switch {
	case reason == "":
		return "", missing("say in words what is wrong with it", "withdraw %s: no reason is given", id)
	case len(reason) > mostReason:
		return "", missing("say it shorter", "withdraw %s: the reason is longer than %d letters", id, mostReason)
	}
	f, path, err := standing(shelf, id)
	if err != nil {
		return "", err
	}
	f.Withdrawn = &Withdrawal{At: now.UTC().Truncate(time.Second), Reason: reason, By: by}
	text, err := f.Encode()
	if err != nil {
		return "", err
	}
	if err := replace(path, text); err != nil {
		return "", fmt.Errorf("withdraw %s: %w", id, err)
	}
	return path, nil
}

// standing reads a calibration of a shelf that is not withdrawn, by its ID.
func standing(shelf, id string) (*File, string, error) {
	id = strings.TrimSuffix(id, ending)
	if id == "" || strings.ContainsAny(id, `/\`) || strings.HasPrefix(id, ".") {
		return nil, "", missing("draghand calibrate list has the IDs", "%q is no ID of a calibration", id)
	}
	path := filepath.Join(shelf, Folder, id+ending)
	f, err := ReadFile(path)
	switch {
	case err != nil:
		return nil, "", err
	case f.Calibration.ID != id:
		return nil, "", fmt.Errorf("%q: %w", path, errors.New("it was renamed: inside it is "+f.Calibration.ID))
	case f.Withdrawn != nil:
		return nil, "", missing("draghand calibrate list has those in use", "%s is %s", id, f.Withdrawn.Words())
	}
	return f, path, nil
}
