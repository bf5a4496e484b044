package specimen

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestSideIsOneOfTwo(t *testing.T) {
	for side, ok := range map[Side]bool{"": true, Near: true, Far: true, "left": false, "Far": false} {
		err := Specimen{Side: side}.Validate()
		if (err == nil) != ok {
			t.Errorf("side %q: %v", side, err)
		}
		if err != nil && !strings.Contains(err.Error(), "near") {
			t.Errorf("the error does not say what would be right: %v", err)
		}
	}
}

// A bar in its own place says nothing of it: older records read the same.
func TestSideInARecord(t *testing.T) {
	for side, want := range map[Side]string{"": `{}`, Far: `{"side":"far"}`} {
		got, err := json.Marshal(Specimen{Side: side})
		if err != nil || string(got) != want {
			t.Errorf("%q: %s %v, want %s", side, got, err, want)
		}
	}
}
