// Package daemon records and judges many channels at once.
//
// The way of a line: capture.Run stamps it, the channel writes it to the journal,
// and hands it to its story, which decodes and judges it. A story is a pure
// function of the frames of the journal, so what is replayed after a crash, and
// what is rebuilt years later, comes out as it did live. What the story finds
// goes to the logbook and to the hub of live views; both can fail or be slow
// without a line being lost.
package daemon
