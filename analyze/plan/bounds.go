package plan

// bounds is what is known of a figure on which sources or batteries differ.
type bounds struct {
	Low, High float64
}

// Seconds in an hour and coulombs in an ampere-hour.
const (
	hour       = 3600.0
	ampereHour = 3600.0
	minute     = 60.0
)
