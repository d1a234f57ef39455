// Package terminal draws one channel as lines of text: for a terminal of eighty
// columns at the far end of a garage, over a slow line, without colour if need be.
//
// It is given what is known and says what is to be seen. It opens no terminal and
// decides nothing about the charge.
package terminal
