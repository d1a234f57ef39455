package capture

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAskedMetersOnASerialLine plugs a simulated meter of each protocol into a
// pseudo-terminal, pulls the plug twice, and counts what was sent.
func TestAskedMetersOnASerialLine(t *testing.T) {
	link := filepath.Join(t.TempDir(), "by-id")
	way := &Serial{Port: link, Baud: 115200}
	text, err := SCPI{Serial: way, Voltage: volt, Current: curr, End: "lf", Every: time.Millisecond, Timeout: time.Second}.Source()
	require.NoError(t, err)
	registers, err := Modbus{Serial: way, Reads: twoReads, Every: time.Millisecond, Timeout: time.Second}.Source()
	require.NoError(t, err)
	for _, c := range []struct {
		name  string
		src   Source
		meter *instrument
		line  string
	}{
		{"text", text, &instrument{cut: cutLine, answer: func(request string, _ int) []said { return now(usual[strings.TrimSpace(request)]) }}, both},
		{"registers", registers, &instrument{cut: cutFrame, answer: soundFrame}, words},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
			var l *listening
			for k := range 3 {
				m := newMeter(t)
				require.NoError(t, os.Symlink(m.device, link+".new"))
				require.NoError(t, os.Rename(link+".new", link))
				served := make(chan struct{})
				go func() { c.meter.serve(m.master); close(served) }()
				if l == nil {
					l = listenTo(t, c.src, nil)
				}
				l.wait(0, 5*(k+1))
				require.NoError(t, os.Remove(link))
				m.pull()
				l.wait(Lost, k+1)
				<-served
			}
			l.end()
			for _, line := range l.texts(0) {
				assert.Equal(t, c.line, line)
			}
			if c.name == "registers" {
				onlyReads(t, c.meter, false)
				return
			}
			sent := c.meter.sent.String()
			for question := range usual {
				sent = strings.ReplaceAll(sent, question+"\n", "")
			}
			assert.Empty(t, sent, "not a byte but the questions")
		})
	}
}
