// Package quantity reads quantities as people write them, "35Ah", "3.5A",
// "29mohm", "85min", "18C", and gives them in SI units. Flags and the
// configuration share it, so that a value means the same in both. It converts
// nothing silently: a unit of another kind is an error that says what was
// meant. It does not judge whether a value is sensible; its user knows that.
package quantity
