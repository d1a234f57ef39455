// Package capture listens to sources of lines for as long as it takes: a serial
// port, a network bridge, a file being written, standard input, a command.
//
// Sources go away in the night: a cable is pulled, a bridge restarts, a log is
// rotated, the host sleeps. Run makes of each source one endless sequence of
// frames in which every line stands once, byte for byte, with the moment it
// came, and every hole is marked. Nothing is dropped: who takes the frames
// slowly slows the reading.
//
// It does not know what a line means. A source that talks by itself is opened so
// that nothing can be written; a meter that has to be asked is sent the questions
// of package query, which holds nothing but questions.
package capture
