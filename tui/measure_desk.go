package tui

import (
	"draghand/internal/finish"
	"draghand/internal/specimen"
)

// Measuring is what is asked after a pull, of one record. All but Save is cheap;
// Save waits for the disk, is called outside Update, and while it runs nothing else
// is.
type Measuring interface {
	Name() string // of the record
	Bar() specimen.Specimen
	Fields() []finish.Field
	// Set gives a field another text; the error also stands in the field.
	Set(id finish.FieldID, text string) error
	// Missing says what stays unknown as long as it is not measured, a line each.
	Missing() []string
	Changed() bool // something is written that is not kept yet
	Save() error   // into the record; whatever the error, nothing that stood there is lost
	Kept() string  // what came of the last Save that went well, in one line
}
