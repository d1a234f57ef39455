package daemon

import "fmt"

// guarded is for the search for a layout, which meets lines of every kind: a fault in it must not
// end the recording of all channels, and again at each start. The lines are in the journal, and are
// read as soon as somebody says how.
func guarded[T any](search func() (T, error)) (found T, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the search for the layout of the lines broke down (%v); set decoder: of the channel, and keep the lines for whoever mends amphora", fault)
		}
	}()
	return search()
}
