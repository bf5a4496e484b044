package compare

// The grades of a strength to count on that something speaks against, in the words that
// stand wherever it does.
const (
	WithCaution = "with caution"
	NotTrusted  = "should not be trusted"
)

// Grade is how far a strength to count on is to be trusted: empty, WithCaution or
// NotTrusted.
func (c *CountOn) Grade() string {
	switch {
	case c.Grave != "":
		return NotTrusted
	case c.Doubtful != "":
		return WithCaution
	}
	return ""
}
