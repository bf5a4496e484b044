// Package quiet keeps the start of the program quiet: imported for its effect
// alone, it settles whether the terminal is dark before anybody asks it.
//
// The screen library asks every terminal for its background colour while its
// own package is initialised, and waits five seconds where nobody answers: a
// bare pseudo-terminal, a relayed ssh, a serial console. It does not ask once
// the answer is settled. Packages are initialised in the order of their import
// paths as soon as their own imports are ready, and draghand/tui/quiet sorts
// before github.com/…, so the init below runs first. A test in package tui
// starts a program on a terminal that answers nothing and takes the time.
package quiet

import (
	"os"
	"strconv"
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// init is the only one of the project: there is no other moment before the
// library's own.
func init() {
	lipgloss.SetHasDarkBackground(Dark(os.Getenv("COLORFGBG")))
}

// Dark reads the COLORFGBG variable that some terminals set, "foreground;
// background" or "foreground;other;background" as colour numbers, and says
// whether the background is dark. It is dark where nothing can be read. The
// screens use colours that read on both, so a wrong guess costs nothing.
func Dark(colorfgbg string) bool {
	last := colorfgbg[strings.LastIndexByte(colorfgbg, ';')+1:]
	n, err := strconv.Atoi(last)
	if err != nil || n < 0 {
		return true
	}
	// Of the sixteen base colours 7 is light grey and 9 to 15 are the bright
	// ones; 8 is dark grey.
	return n < 7 || n == 8
}
