// Package plan turns what a battery's label says into what to set a charger
// to: capacity, current, voltages, hours, timers, leads, ventilation and the
// cautions. Every figure comes with its reason and its source, "common
// practice, no source" where nobody could be cited. It decides nothing for
// anybody: the battery maker's figures and local rules go before it, and it
// neither sets nor guards a charger.
//
// Inside, quantities are in SI units: coulombs, seconds, amperes, volts, ohms,
// metres, degrees Celsius. Ampere-hours and hours appear in the Advice alone.
package plan

// Seconds in an hour and coulombs in an ampere-hour.
const (
	hour       = 3600.0
	ampereHour = 3600.0
	minute     = 60.0
)
