package shelf

import (
	"strings"
	"testing"
)

// The first fault of a filter is told with how many others there are.
func TestFilterTellsMoreFaults(t *testing.T) {
	for text, want := range map[string]string{"a:b": "", "a:b M1 c:d": " (and 1 more)", "a:b c:d strength>": " (and 2 more)"} {
		_, err := ParseFilter(text)
		if err == nil || !strings.HasPrefix(err.Error(), "a:b: ") || !strings.HasSuffix(err.Error(), want) || want == "" && strings.Contains(err.Error(), "more)") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
