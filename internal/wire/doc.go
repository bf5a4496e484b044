// Package wire turns the bytes of a board into readings: it cuts the stream
// into lines, decodes the columns of each line, and maps the board's own clock
// to the time of the host. It is pure: no input or output, no clock, no
// goroutine; the same bytes give the same lines however they are cut into
// chunks.
//
//	chunk → Decoder.Decode → Line (good, bad, banner) → Clock.Map → time of the reading
//
// A worked example: with the columns time and raw, a comma between them and a
// clock in microseconds, the bytes
//
//	"1000,812\r\n2000,815\r\n"
//
// are two good lines, 812 at the board's 1 ms and 815 at its 2 ms. What a board
// may send is told in docs/line-formats.md, whose examples a test decodes.
//
// Whatever arrives, memory stays flat: a line is looked at up to MaxLine bytes
// and the rest is dropped up to its end.
package wire
