package decoders

import "bytes"

// Remnant is what can be relied on of a line whose beginning may have been missed, as
// the first that a port gives: of a header all names but the first, which may be cut
// (mV to V), in their columns. It is nil for anything else.
//
//	rrent_A,voltage_V,time_s     gives     ,voltage_V,time_s
func Remnant(line []byte) []byte {
	at := bytes.IndexAny(line, ",;\t|")
	if at < 0 || MayBeRow(line) {
		return nil
	}
	return bytes.Clone(line[at:])
}
