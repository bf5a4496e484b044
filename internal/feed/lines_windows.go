package feed

import "go.bug.st/serial"

// linesAtOpen keeps the trip line down from the first moment: here the system
// sets both lines as it is told at opening.
func linesAtOpen(l Line) *serial.ModemOutputBits {
	if l == "" {
		return nil
	}
	return &serial.ModemOutputBits{RTS: l != RTS, DTR: l != DTR}
}
