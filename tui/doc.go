// Package tui holds the screens. They know snapshots and results; never ports,
// files or sockets.
//
//	watch ── Snapshot, Trace ──> tick, 30 a second ─┐
//	      ── edge (one slot) ──> EdgeMsg, bell ─────┴─> PullScreen ─> frame
//	      <─ Command ──────────────────────── keys ──────┘
//
// A sitting is one App over a Desk: one screen in front of the others, each of
// which leads to another by a message of desk.go.
//
//	Bench ── armed ──> PullScreen ── closed ──> After ── next bar ──> Bench
//	  └──────────────> Shelf ── a record ──> Replay <── look again ── After
//
// Keys and ticks reach the screen in front alone. Whatever may wait, for a port
// or a disk, is asked in a command, and its answer dies where the screen that
// asked is gone.
//
// No message per reading ever reaches a screen: a tick or an edge makes it load
// the latest snapshot, and a frame depends on nothing but the screen's fields.
// A stalled terminal stops the screen and nobody else.
package tui
