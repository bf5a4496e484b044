package specimen

import "fmt"

// Side is where in a two-sided rig a bar stands.
type Side string

// The sides. The empty one is Near.
const (
	Near Side = "near" // the specimen's own place, by the rig file
	Far  Side = "far"  // in the place of the far side's link: swapped
)

func (s Side) valid() error {
	switch s {
	case "", Near, Far:
		return nil
	}
	return fmt.Errorf("side %q is not known: near (the specimen's own place) or far (the far side's place)", string(s))
}
