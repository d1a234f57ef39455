package config

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestExampleLoadsAsItIs(t *testing.T) {
	h := machine(t, nil)
	h.write(t, "/etc/amphora.yaml", Example, 0o644)
	c, problems := h.Load("/etc/amphora.yaml")
	assert.Empty(t, problems)
	require.NotNil(t, c)
	assert.Equal(t, 1.3, c.Channels[0].Limits.ChargeFactor)
}

var switchedOff = regexp.MustCompile(`(?m)^#([a-z]|  )`)

// With everything switched on, the example holds each key that the reader
// knows, and the reader knows each key that it holds.
func TestExampleHoldsEveryKey(t *testing.T) {
	h := machine(t, nil)
	for _, name := range []string{"volts", "amps", "rs485"} {
		h.write(t, "/dev/serial/by-id/usb-"+name+"-port0", "", 0o600)
	}
	h.write(t, "/var/log/meter.csv", "", 0o644)
	for _, name := range []string{"webhook-token", "webhook-key", "mail-password", "influx-password", "influx-token", "mqtt-password", "token"} {
		h.write(t, "/etc/amphora/"+name, aToken, 0o600)
	}
	cert, key := testhelp.Certificate(t, "house.example")
	for name, text := range map[string]string{
		"webhook-url": "https://host.example/", "webhook-headers": "X-Key: secret", "users.yaml": aUser, "mail-ca.pem": cert, "influx-ca.pem": cert,
		"mqtt-ca.pem": cert, "mqtt-cert.pem": cert, "mqtt-key.pem": key, "cert.pem": cert, "key.pem": key,
	} {
		h.write(t, "/etc/amphora/"+name, text, 0o600)
	}
	text := switchedOff.ReplaceAllString(Example, "$1")
	h.write(t, "/etc/amphora.yaml", text, 0o644)

	known := map[string]bool{}
	c, problems := h.load("/etc/amphora.yaml", func(path string, keys []string) {
		for _, key := range keys {
			known[short(join(path, key))] = true
		}
	})
	assert.Empty(t, problems)
	for _, channel := range c.Channels {
		for _, feed := range channel.Feeds {
			_, err := feed.Source.Capture(capture.NewInput(os.Stdin))
			assert.NoError(t, err, "a kind of source that is read, but not run: %s", channel.Name)
		}
	}

	held := map[string]bool{}
	file, err := parser.ParseBytes([]byte(text), 0)
	require.NoError(t, err)
	collect(file.Docs[0].Body, "", held)
	assert.Equal(t, known, held)
}

// collect notes the keys below v.
func collect(v ast.Node, path string, held map[string]bool) {
	switch v := v.(type) {
	case *ast.MappingNode:
		for _, entry := range v.Values {
			name, _ := scalar(entry.Key)
			held[short(join(path, name))] = true
			collect(entry.Value, join(path, name), held)
		}
	case *ast.SequenceNode:
		for _, item := range v.Values {
			collect(item, path, held)
		}
	}
}

var (
	index = regexp.MustCompile(`\[\d+\]`)
	half  = regexp.MustCompile(`source\.(voltage|current)\.`)
	polls = regexp.MustCompile(`(scpi|modbus)\.(serial|tcp)$`)
)

// short is the key with the mapping that it stands in: a serial port has the
// same keys wherever it stands, and the way to a meter is one of the two.
func short(path string) string {
	path = index.ReplaceAllString(path, "")
	path = half.ReplaceAllString(path, "source.")
	path = polls.ReplaceAllString(path, "$1.line")
	parts := strings.Split(path, ".")
	return strings.Join(parts[max(0, len(parts)-2):], ".")
}

// dashed finds where a name of Go's goes on with another word: FromEnd is from-end in the file.
var dashed = regexp.MustCompile(`([a-z])([A-Z])`)

// Each setting of a source that capture has can be given in the file, but those that are the
// daemon's own: where it stopped, and who is told of that.
func TestEverySettingOfCaptureCanBeGiven(t *testing.T) {
	for kind, settings := range map[string]any{
		"serial": capture.Serial{}, "tcp": capture.TCP{}, "file": capture.File{}, "exec": capture.Command{}, "scpi": capture.SCPI{},
	} {
		var want, got []string
		for _, field := range reflect.VisibleFields(reflect.TypeOf(settings)) {
			if field.Name != "Resume" && field.Name != "Save" {
				want = append(want, strings.ToLower(dashed.ReplaceAllString(field.Name, "$1-$2")))
			}
		}
		h := machine(t, nil)
		h.write(t, "x.yaml", "channels: [{name: a, source: {"+kind+": {}}}]", 0o644)
		h.load("x.yaml", func(path string, keys []string) {
			if strings.HasSuffix(path, "."+kind) {
				got = keys
			}
		})
		assert.ElementsMatch(t, want, got, kind)
	}
}
