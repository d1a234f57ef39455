// Package query holds all that amphora may say to a meter: the questions of a
// closed list, and what comes back for them.
//
// A Query can only be made here, by functions that know nothing but reading, and
// the one call in the whole program that sends something to a meter is its Send.
// So no setting and no write can be sent, whatever the configuration says.
//
// Nothing here opens a line, waits, or knows what a value means.
package query
