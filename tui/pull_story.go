package tui

// From this size on the chart and the events stand side by side.
const (
	abreastWidth  = 160
	abreastHeight = 45
)

// abreast says that there is room for chart and events side by side.
func (m *PullScreen) abreast() bool { return m.width >= abreastWidth && m.height >= abreastHeight }
