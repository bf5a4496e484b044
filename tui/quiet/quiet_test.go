package quiet

import "testing"

func TestDark(t *testing.T) {
	tests := []struct {
		name, value string // source: the sixteen base colours by number; black 0, white 15
		want        bool
	}{
		{"not set", "", true},
		{"white on black", "15;0", true},
		{"black on white", "0;15", false},
		{"black on light grey", "0;7", false},
		{"with a third field", "0;default;15", false},
		{"grey on dark grey", "7;8", true},
		{"default", "default;default", true},
		{"nonsense", ";;;", true},
		{"negative", "0;-3", true},
	}
	for _, tt := range tests {
		if got := Dark(tt.value); got != tt.want {
			t.Errorf("%s: Dark(%q) = %v, want %v", tt.name, tt.value, got, tt.want)
		}
	}
}
