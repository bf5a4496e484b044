// Package tui holds the screens. They know snapshots and results; never ports,
// files or sockets.
//
//	watch ── Snapshot, Trace ──> tick, 30 a second ─┐
//	      ── edge (one slot) ──> EdgeMsg, bell ─────┴─> PullScreen ─> frame
//	      <─ Command ──────────────────────── keys ──────┘
//
// No message per reading ever reaches a screen: a tick or an edge makes it load
// the latest snapshot, and a frame depends on nothing but the screen's fields.
// A stalled terminal stops the screen and nobody else.
package tui
