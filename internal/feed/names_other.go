//go:build !unix

package feed

import "go.bug.st/serial"

// nodeNames lists the ports. Windows keeps them in a registry, so that to list
// them touches none.
func nodeNames() []string {
	names, err := serial.GetPortsList()
	if err != nil {
		return nil
	}
	return names
}

func permissionHint(string) string {
	return "close the other program that holds it, or unplug the board and plug it in again, then start again"
}
