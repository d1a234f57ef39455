package mqtt

import (
	"fmt"
	"strings"
)

// The tree of topics:
//
//	<topic>/state                  online or offline
//	<topic>/<channel>/reading      volts, amps, celsius
//	<topic>/<channel>/stage        of the charge, and why
//	<topic>/<channel>/charge       what went in so far, and when it will be done
//	<topic>/<channel>/findings     those that hold
//	<topic>/<channel>/session      the summary of the last charge that ended
//	<topic>/<channel>/source       how the meter is
type tree struct{ root string }

const (
	readingTopic  = "reading"
	stageTopic    = "stage"
	chargeTopic   = "charge"
	findingsTopic = "findings"
	sessionTopic  = "session"
	sourceTopic   = "source"
)

var channelTopics = []string{readingTopic, stageTopic, chargeTopic, findingsTopic, sessionTopic, sourceTopic}

func (t tree) state() string { return t.root + "/state" }

func (t tree) of(channel, what string) string { return t.root + "/" + escape(channel) + "/" + what }

// escape makes one level of a topic of any text: letters, digits, "-", "_" and "."
// stand for themselves, every other byte is "%" and two hexadecimal digits (RFC
// 3986, 2.1), so that any decoder of such text gives it back. A level must not hold
// "/", "+", "#" (MQTT 5.0, 4.7.1) or bad UTF-8 (1.5.4).
func escape(text string) string {
	var b strings.Builder
	for _, c := range []byte(text) {
		if plain(c) || c == '.' || c == '-' || c == '_' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02x", c)
		}
	}
	return b.String()
}

func plain(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9'
}
