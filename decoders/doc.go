// Package decoders turns lines of text into readings of a battery.
//
// The problem: every meter writes its lines as it likes, and hardly one says what
// its columns are. A line's envelope (columns, labels, JSON, a pattern) is one thing
// and the meaning of the values in it another: each envelope has a file, the meaning is
// a Layout that all of them share, and Fit finds both from a sample of lines.
//
// The promise: a line gives a reading in SI units or a refusal with a name, whatever
// its bytes are. Nothing here reads a clock, a port or a file.
//
// A Stream takes each line through its parts; a file is about the thing that
// it is named for.
//
//	the list, the setting   decoders layout setting
//	an envelope             columns fixed halves timebefore unitcells
//	                        labelled labelmarks devicename keys scanner roaming
//	                        jsonlines jsonunits turns pattern answers registers
//	what is around it       checksum tail typeset thousands direction text unroll
//	a value                 value number eight units counts void
//	a time                  clock clockcell clockdays clockdigits clockform
//	                        date monthname stamp anytime
//	from line to line       stream timer pair heading former retime peek
//	two meters              merge
//	many rows in one go     block stencil stencils cut cutmoment
//
// Fit looks at some lines as a table and asks what its columns may be.
//
//	in what order           fit
//	which lines             damage remnant thousandsfit
//	a table of them         table column cell stats survey_columns survey_named survey_json
//	the meaning             meaning choose confidence takingturns
//	by names                names siblings
//	the time                timefit timeunit dateorder yearfirst clockcolumns nottime untimed comment coulombs
//	voltage and current     physics proportion neither unanswered climbs cellsum
//	which way it flows      relation moves levels course lifted fade clipped nought seesign
//	what is left            counter temperature
package decoders
