package capture

// unheeded is why a line is given up that is still there: its meter does not do as asked.
type unheeded string

func (u unheeded) Error() string { return string(u) }
