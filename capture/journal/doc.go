// Package journal is the raw record: every line a source sent, stamped, kept in
// append-only text files with a checksum a line, before anybody tries to
// understand it.
//
// It promises that a record whose sync has returned is there after a kill or a
// power cut, that damage costs only the records it hit and is named with file
// and byte, and that a full or read-only disk stops nothing: lines wait in a
// bounded memory until the disk is back.
//
// It does not know what a volt is, and it is no database: reading is from a
// sequence number onwards, in order.
package journal
