package config

import (
	"net/http"
	"os"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/notify"
	"amphora/dashboards/push/influx"
	"amphora/dashboards/push/mqtt"
	"amphora/dashboards/testhelp"
	"amphora/dashboards/web"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLoadGivesSI(t *testing.T) {
	h := machine(t, nil)
	c, problems := h.read(t, `
data: var/amphora
channels:
  - name: bench
    source: {serial: {port: `+port+`, baud: 4800, dtr: off}}
    decoder: columns separator=comma time=1:s voltage=2:V current=3:A
    battery: mower
    chemistry: lead-agm
    cells: 6
    capacity: 17Ah
    tail: 0.35A
    meter: {voltage: "0.5% + 2d", current: "0.8% + 20mA"}
    limits: {hours: 20, celsius: 45, charge: 1.3x, volts: 14.8V, silence: 90}
  - name: shed
    source: {tcp: {address: "bridge.local:4001", silence: 2min}}
    tail: 3%
    limits: {hours: 85min, charge: 60}
    findings: {stalled: 2x, no-taper: off, running-long: 0.5, pulsed: false}
  - name: log
    source: {file: {path: amphora.yaml, from-end: true}}
  - name: pipe
    source: {stdin: }
  - name: program
    source: {exec: [read-meter, --once]}
journal: {sync: 60s, keep-days: 30, min-free: 1.5GiB}
`)
	require.Empty(t, problems)
	off := false
	assert.Equal(t, "/etc/var/amphora", c.Data)
	assert.Equal(t, DefaultListen, c.Listen)
	assert.Equal(t, Journal{Sync: time.Minute, Keep: 720 * time.Hour, MinFree: 3 << 29}, c.Journal)
	require.Len(t, c.Channels, 5)

	bench := c.Channels[0]
	assert.Equal(t, analyze.Options{
		Channel: "bench", Battery: "mower", Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 61200, Tail: analyze.Tail{Amps: 0.35},
		Voltage: analyze.Accuracy{Fraction: 0.005, Digits: 2}, Current: analyze.Accuracy{Fraction: 0.008, Absolute: 0.02},
	}, bench.Options)
	assert.Equal(t, Limits{Duration: 20 * time.Hour, Celsius: 45, ChargeFactor: 1.3, Volts: 14.8, Silence: 90 * time.Second}, bench.Limits)
	require.Len(t, bench.Feeds, 1)
	assert.Equal(t, &capture.Serial{Port: port, Baud: 4800, DTR: &off}, bench.Feeds[0].Source.Serial)
	assert.Equal(t, "columns", bench.Feeds[0].Decoder.Kind)

	shed := c.Channels[1]
	assert.Equal(t, &capture.TCP{Address: "bridge.local:4001", Silence: 2 * time.Minute}, shed.Feeds[0].Source.TCP)
	assert.Nil(t, shed.Feeds[0].Decoder)
	assert.Equal(t, analyze.Tail{Fraction: 0.03}, shed.Options.Tail)
	assert.Equal(t, Limits{Duration: 85 * time.Minute, Charge: 216000}, shed.Limits)
	assert.Equal(t, analyze.Patience{"stalled": 2, "no-taper": analyze.Never, "running-long": 0.5, "pulsed": analyze.Never}, shed.Options.Patience)

	assert.Equal(t, &capture.File{Path: "/etc/amphora.yaml", FromEnd: true}, c.Channels[2].Feeds[0].Source.File)
	assert.True(t, c.Channels[3].Feeds[0].Source.Stdin)
	assert.Equal(t, []string{"read-meter", "--once"}, c.Channels[4].Feeds[0].Source.Exec.Args)
	for i, name := range []string{"serial:" + port, "tcp:bridge.local:4001", "file:/etc/amphora.yaml", "stdin", "exec:read-meter --once"} {
		source, err := c.Channels[i].Feeds[0].Source.Capture(capture.NewInput(os.Stdin))
		require.NoError(t, err)
		assert.Equal(t, name, source.Name)
	}
}

// The form that is promised to people, word for word but for its dots.
func TestLoadReadsThePromisedForm(t *testing.T) {
	h := machine(t, nil)
	h.write(t, "/dev/ttyS0", "", 0o600)
	h.write(t, "/dev/ttyS1", "", 0o600)
	h.write(t, "/etc/amphora/token", aToken, 0o600)
	c, problems := h.read(t, `data: /var/lib/amphora            # journal and logbook
listen: 127.0.0.1:9724            # anything but loopback needs `+"`access:`"+` as well
channels:
  - name: bench
    source: {serial: {port: `+port+`, baud: 9600}}   # or tcp:, file:, stdin:, exec:, scpi:, modbus:
    decoder: auto                  # or one that `+"`amphora identify`"+` printed
    battery: mower
    meter: {voltage: "0.5% + 2d", current: "0.8% + 3d"}         # stated accuracy
    limits: {hours: 20, celsius: 45, charge: 60Ah}
  - name: two-meters
    source:
      voltage: {serial: {port: /dev/ttyS0}, decoder: auto}
      current: {serial: {port: /dev/ttyS1}, decoder: auto}
notify: [{webhook: {url: https://host.example/x}}, {command: [notify-send, "{{.Title}}", "{{.Message}}"]}]
push: [{influx: {url: http://host.example, database: garage}}, {mqtt: {broker: mqtt://host.example, topic: amphora}}]
access: {token-file: /etc/amphora/token}
`)
	require.Empty(t, problems)
	two := c.Channels[1].Feeds
	require.Len(t, two, 2)
	assert.Equal(t, "voltage", two[0].Of)
	assert.Equal(t, "/dev/ttyS1", two[1].Source.Serial.Port)
	require.Len(t, c.Notify, 2)
	assert.Equal(t, &notify.Webhook{URL: "https://host.example/x"}, c.Notify[0].Target())
	assert.Equal(t, "command notify-send", c.Notify[1].Target().Name())
	assert.Equal(t, []Push{{Influx: &influx.Server{URL: "http://host.example", Database: "garage"}}, {MQTT: &mqtt.Settings{Broker: "mqtt://host.example", Topic: "amphora"}}}, c.Push)
	assert.Equal(t, web.Access{TokenFile: "/etc/amphora/token"}, c.Access)
}

func TestLoadReadsPushTargets(t *testing.T) {
	h := machine(t, nil)
	h.write(t, "/etc/token", "secret\n", 0o600)
	cert, _ := testhelp.Certificate(t, "database.example")
	h.write(t, "/etc/ca.pem", cert, 0o644)
	c, problems := h.read(t, `
channels: [{name: a, source: {stdin: {}}}]
push:
  - influx:
      url: https://database.example/base?consistency=all
      org: house
      bucket: garage
      token-file: token
      ca-file: ca.pem
      tags: {site: north side, row: 7}
      points: 100
      age: 2min
      spool: 1GiB
`)
	require.Empty(t, problems)
	assert.Equal(t, []Push{{Influx: &influx.Server{
		URL: "https://database.example/base?consistency=all", Org: "house", Bucket: "garage", TokenFile: "/etc/token", CAFile: "/etc/ca.pem",
		Tags: map[string]string{"site": "north side", "row": "7"}, Points: 100, Age: 2 * time.Minute, Limit: 1 << 30,
	}}}, c.Push)
}

func TestLoadReadsPolledMeters(t *testing.T) {
	c, problems := machine(t, nil).read(t, `
channels:
  - name: asked
    source: {scpi: {tcp: {address: "supply.local:5025"}, voltage: "MEAS:VOLT?", current: "meas:curr?", every: 2}}
  - name: registers
    source: {modbus: {serial: {port: `+port+`}, unit: 7, timeout: 3, voltage: {address: 9, type: float32, order: little}, current: {address: 2, table: holding, type: int32, scale: -0.001}}}
  - name: together
    source: {scpi: {tcp: {address: "supply.local:5026"}, voltage: "FETC?", current: "FETC?", end: crlf}}
`)
	require.Empty(t, problems)
	scpi := c.Channels[0].Feeds[0].Source.SCPI
	assert.Equal(t, &capture.SCPI{TCP: &capture.TCP{Address: "supply.local:5025"}, Voltage: "MEAS:VOLT?", Current: "meas:curr?", Every: 2 * time.Second}, scpi)
	modbus := c.Channels[1].Feeds[0].Source.Modbus
	assert.Equal(t, 7, modbus.Unit)
	assert.Equal(t, 3*time.Second, modbus.Timeout)
	assert.Equal(t, &Register{Address: 9, Table: "input", Type: "float32", Order: "little", Scale: 1}, modbus.Voltage)
	assert.Equal(t, &Register{Address: 2, Table: "holding", Type: "int32", Order: "big", Scale: -0.001}, modbus.Current)
	assert.Equal(t, `answers voltage="MEAS:VOLT?":V current="meas:curr?":A`, c.Channels[0].Feeds[0].Decoder.String())
	assert.Equal(t, "registers voltage=7/4/9/float32/1/little:V current=7/3/2/int32/-0.001/big:A", c.Channels[1].Feeds[0].Decoder.String())
	assert.Equal(t, "answers voltage=FETC?:V current=FETC?#2:A", c.Channels[2].Feeds[0].Decoder.String())
	for i, name := range []string{"tcp:supply.local:5025", "serial:" + port, "tcp:supply.local:5026"} {
		source, err := c.Channels[i].Feeds[0].Source.Capture(capture.NewInput(os.Stdin))
		require.NoError(t, err)
		assert.Equal(t, name, source.Name)
	}
}

// A meter that is asked for one value leaves the other to a second meter.
func TestAskedForOneValueAlone(t *testing.T) {
	const meter = "scpi: {tcp: {address: \"supply.local:5025\"}, "
	for text, want := range map[string]string{
		"source: {" + meter + "voltage: READ?}}":                                "is asked for the voltage alone, and a charge needs the current as well",
		"source: {" + meter + "current: READ?}}":                                "is asked for the current alone, and a charge needs the voltage as well",
		"source: {" + meter + "voltage: VOLT 14, current: READ?}}":              "voltage: ",
		"source: {voltage: {file: {path: amphora.yaml}}, current: {stdin: }}":   "add from-end: true",
		"source: {voltage: {" + meter + "current: READ?}}, current: {stdin: }}": "is asked for the current, and here stands the meter for the voltage",
	} {
		_, problems := machine(t, nil).read(t, "channels: [{name: a, "+text+"}]")
		require.Len(t, problems, 1, text)
		assert.Contains(t, problems[0], want)
	}
}

// A decoder with which no row gives both values is a night of nothing.
func TestADecoderReadsVoltageAndCurrent(t *testing.T) {
	const volts, amps = "columns separator=comma time=1:s voltage=2:V", "columns separator=comma time=1:s current=2:A"
	for text, want := range map[string]string{
		"source: {stdin: }, decoder: " + volts:                "not one row would give a current",
		"source: {stdin: }, decoder: " + amps:                 "not one row would give a voltage",
		"source: {stdin: }, decoder: " + volts + " power=3:W": "",
		"source: {stdin: }, decoder: auto":                    "",
		"source: {voltage: {stdin: , decoder: '" + volts + "'}, current: {exec: {args: [a]}, decoder: '" + amps + "'}}":  "",
		"source: {voltage: {stdin: , decoder: '" + volts + "'}, current: {exec: {args: [a]}, decoder: '" + volts + "'}}": "not one row would give a current",
	} {
		_, problems := machine(t, nil).read(t, "channels: [{name: a, "+text+"}]")
		if want == "" {
			assert.Empty(t, problems, text)
			continue
		}
		require.Len(t, problems, 1, text)
		assert.Contains(t, problems[0], want)
	}
}

func TestLoadReadsWhoIsToldAndWhen(t *testing.T) {
	h := machine(t, nil)
	h.write(t, "/etc/password", "secret", 0o600)
	c, problems := h.read(t, `
channels: [{name: a, source: {stdin: {}}}]
notify:
  - webhook: {url: "https://host.example/x", headers: {x-room: garage, Priority: 5}}
  - email: {server: "mail.example:465", tls: always, from: Amphora <a@house.example>, to: [b@house.example, c@house.example], user: a, password-file: password}
telling: {quiet-hours: 22:00-07:00, repeat: 15min}
`)
	require.Empty(t, problems)
	assert.Equal(t, http.Header{"X-Room": {"garage"}, "Priority": {"5"}}, c.Notify[0].Webhook.Headers)
	m := c.Notify[1].Email
	assert.True(t, m.TLS)
	assert.Equal(t, "Amphora", m.From.Name)
	assert.Len(t, m.To, 2)
	assert.Equal(t, "/etc/password", m.PasswordFile)
	assert.Equal(t, notify.Rules{Quiet: notify.Quiet{From: 22 * time.Hour, To: 7 * time.Hour}, Repeat: 15 * time.Minute}, c.Telling)

	_, problems = h.read(t, `
channels: [{name: a, source: {stdin: {}}}]
notify:
  - email: {server: mail.example, tls: never, from: nobody, to: [], user: a}
telling: {quiet-hours: 22-7, repeat: 10s}
`)
	assert.Equal(t, []string{
		`/etc/amphora.yaml:4:12: email: user and password-file go together, but one is missing`,
		`/etc/amphora.yaml:4:21: server: "mail.example" is not host:port, want text like mail.example:587`,
		`/etc/amphora.yaml:4:40: tls: "never" is not known, want one of starttls, always`,
		`/etc/amphora.yaml:4:53: from: "nobody" is no mail address, want text like amphora@house.example`,
		`/etc/amphora.yaml:4:65: to: is empty, want a list like [me@house.example]`,
		`/etc/amphora.yaml:5:24: quiet-hours: "22-7" are no hours of the day, want text like 22:00-07:00`,
		`/etc/amphora.yaml:5:38: repeat: is too short, want 5m at least`,
	}, problems)
}

func TestChemistryInTheLabelsWords(t *testing.T) {
	h := machine(t, nil)
	c, problems := h.read(t, "channels: [{name: a, source: {stdin: {}}, chemistry: AGM}]")
	require.Empty(t, problems)
	assert.Equal(t, analyze.LeadAGM, c.Channels[0].Options.Chemistry)
	_, problems = h.read(t, "channels: [{name: a, source: {stdin: {}}, chemistry: SLA}]")
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0], "chemistry: "+analyze.ErrWhichLead.Error())
	_, problems = h.read(t, "channels: [{name: a, source: {stdin: {}}, chemistry: lead-amg}]")
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0], `did you mean "lead-agm"`)
}
