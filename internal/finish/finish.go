// Package finish brings a pull to its end: it takes what was measured on the
// broken bar, refuses what cannot be, writes it into the record, and gives the
// results of a record with all that stands in it. Everything that shows results
// takes them from here.
package finish

// FieldID names what is asked for after a pull. It is also the word the line
// dialogue takes, and with -- before it the flag of the verb.
type FieldID string

// The fields, in the order they are asked for.
const (
	FieldDiameters FieldID = "final-diameter" // least at the break, one or more
	FieldGauge     FieldID = "final-gauge"    // between the marks, the halves put together
	FieldWhere     FieldID = "where"
	FieldLooks     FieldID = "looks"
	FieldFailed    FieldID = "failed-part"
	FieldDial      FieldID = "dial"    // a dial gauge beside the transducer, at the peak
	FieldMinimum   FieldID = "minimum" // "40 ksi", or "40 ksi from the drawing"
	FieldPhotos    FieldID = "photos"
)

// Field is one of them as a person wrote it.
type Field struct {
	ID      FieldID
	Label   string // one or two words
	Text    string // as written
	Read    string // as understood, in the units of display; empty where it is Text
	Fault   string // why it cannot be and what would do; empty while it can
	Hint    string // an example of what to write
	Choices []string
}
