package plan

// bounds is what is known of a figure on which sources or batteries differ.
type bounds struct {
	Low, High float64
}
