// Package points writes readings and charges as line protocol, for files and for
// servers alike.
//
// The problem: a name with a comma in it must not become a field, a reading without
// a temperature must not become one of 0 degrees, and not all servers understand a
// backslash the same way.
//
// The promise: each line is one point, of the same form everywhere:
//
//	charge_sample,battery=mower,channel=bench,stage=constant-current voltage=13.741,current=3.359 <ns>
//	charge_session,battery=mower,channel=bench,outcome=complete charge_ah=21.64,held_v=14.5 <ns>
//
// Tags are in the order of their names; what is empty or unknown is left out; all
// values are floats. The same reading always gives the same tags and time, so that
// sending it twice changes nothing.
package points
