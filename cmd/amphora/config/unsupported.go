package config

import "slices"

// Feature is a part of the configuration that a version may lack.
type Feature string

// The features that are read and checked ahead of the daemon's having them.
const (
	FeatureMQTT Feature = "push to a broker"
)

// Unsupported are the features that this version refuses. A setting that is
// accepted and then ignored would be found out by a night without a message.
var Unsupported = []Feature{FeatureMQTT}

// require refuses the setting at n if its feature is missing here.
func (r *reader) require(n node, f Feature) {
	if slices.Contains(r.missing, f) {
		r.failAt(n.at, n.path, "%s: not available in this version; take the setting out", f)
	}
}
