package capture

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParse(t *testing.T) {
	log := filepath.Join(t.TempDir(), "a night?.csv")
	require.NoError(t, os.WriteFile(log, []byte("old\n"), 0o600))
	for spec, name := range map[string]string{
		"serial:/dev/ttyUSB0": "serial:/dev/ttyUSB0",
		"serial:/dev/serial/by-id/usb-a:b-if00?baud=2400&bits=7&parity=even&stop=2&dtr=off&rts=on": "serial:/dev/serial/by-id/usb-a:b-if00",
		"serial:COM3?baud=9600":         "serial:COM3",
		"/dev/ttyACM3":                  "serial:/dev/ttyACM3",
		"/dev/ttyACM3?baud=115200":      "serial:/dev/ttyACM3",
		"/dev/serial/by-path/none":      "serial:/dev/serial/by-path/none",
		"tcp:bridge:4001":               "tcp:bridge:4001",
		"tcp://bridge:4001?silence=90s": "tcp:bridge:4001",
		"tcp:[::1]:4001":                "tcp:[::1]:4001",
		"file:not there yet.csv":        "file:not there yet.csv",
		"file:" + log + "?from=end":     "file:" + log,
		log:                             "file:" + log,
		"-":                             "stdin",
		"stdin:":                        "stdin",
		"exec:read-meter --once":        "exec:read-meter --once",
	} {
		src, err := Parse(spec)
		if assert.NoError(t, err, spec) {
			assert.Equal(t, name, src.Name, spec)
			assert.NotNil(t, src.Open, spec)
		}
	}
	src, err := Parse("tcp:bridge:4001?silence=90s")
	require.NoError(t, err)
	assert.Equal(t, 90*time.Second, src.Silence)
	src, err = Parse("file:" + log + "?from=end")
	require.NoError(t, err)
	assert.Empty(t, readOnce(t, src))
}

func TestParseSaysWhatIsWrong(t *testing.T) {
	for spec, want := range map[string]string{
		"":                            "none of serial:PORT",
		"nowhere.csv":                 "no file here",
		"usb:1":                       "no file here",
		"serial:":                     "no port",
		"serial:/dev/ttyS0?speed=9":   "one of baud, bits",
		"serial:/dev/ttyS0?baud=fast": `baud "fast"`,
		"serial:/dev/ttyS0?baud=-1":   `baud "-1"`,
		"serial:/dev/ttyS0?dtr=high":  "want on or off",
		"serial:/dev/ttyS0?parity=x":  "want none, odd",
		"serial:/dev/ttyS0?baud=%zz":  "settings",
		"tcp:bridge":                  "host:port",
		"tcp:bridge:1?silence=long":   "90s",
		"file:":                       "no path",
		"file:a?from=middle":          "start or end",
		"exec:":                       "no program",
	} {
		_, err := Parse(spec)
		assert.ErrorContains(t, err, want, spec)
	}
}
