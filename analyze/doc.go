// Package analyze finds the charges in a stream of samples and judges them.
//
// The problem: a log of volts and amperes tells all about a night of charging,
// but not in words. Where did constant current end, how much went in and how
// sure is that, did it finish? The current was not constant, the zero of the
// meter is not zero, rows are missing and the clock runs backwards.
//
// The promise: one sample at a time goes into a Machine, events and a summary
// come out, the same for the same samples on any day, in memory that does not
// grow with the length of a charge.
//
// What it does not do: read, write, wait, log or ask what time it is.
//
// The way of a sample, file by file: screen (is it usable), timeline (what time
// is it, and how long since the last), meter (noise, resolution), integrator
// (how much flowed), flow (does current flow), charge (one charge: trace, held,
// bend, tail, peak, float), findings, summary. Machine puts them in this order;
// regime says whom a row belongs to, lifecycle how a charge begins and ends,
// document what can be asked at any moment.
// Beside it, a rest is foretold (rest, relax, soc) and steps of the current are
// read for the resistance (resist).
//
// What is wrong: hazards looks at every row (temperature, overvoltage, reversed,
// looselead, flicker, frozen, stuck), watch asks once a minute (runaway, stalled, notreached,
// notaper, overcapacity, runninglong, acceptslittle), limits and needs say against
// what. Forecast looks ahead.
package analyze
