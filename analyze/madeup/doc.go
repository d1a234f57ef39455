// Package madeup invents nights of charging whose truth is known.
//
// Real logs show what reality does, but nobody knows the ampere-hours that
// truly flowed in them. Here a small battery, a charger and a meter of our own
// make up a night: the current is integrated exactly before the meter spoils
// it, so a test or a demonstration can say how far off an answer is.
//
// The model is plausible, not exact: it has the shape of a charge (a slow rise,
// a bend, a taper that is not one exponential, a rest that takes hours) and
// figures of the right size for each chemistry. It is no way to predict what a
// certain battery will do. It reads no clock, does no I/O, and the same seed
// gives the same night. Machines may differ in the last bit of the arithmetic;
// the meter's resolution hides it.
package madeup
