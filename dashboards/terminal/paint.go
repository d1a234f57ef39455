package terminal

import "amphora/analyze"

// mood is how a line is to be read. A word or a mark always says the same, for
// terminals and eyes without colour.
type mood string

// The moods, as SGR parameters of ECMA-48.
const (
	plain   mood = ""
	faint   mood = "2"
	bold    mood = "1"
	warned  mood = "1;33"
	alarmed mood = "1;31"
	volts   mood = "34"
	amps    mood = "33"
)

var moods = map[analyze.Severity]mood{analyze.Alarm: alarmed, analyze.Warning: warned, analyze.Note: plain}

type painter struct{ colour bool }

func (p painter) paint(m mood, text string) string {
	if !p.colour || m == plain || text == "" {
		return text
	}
	return "\x1b[" + string(m) + "m" + text + "\x1b[0m"
}
