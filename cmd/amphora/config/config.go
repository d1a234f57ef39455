package config

import (
	"errors"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/notify"
	"amphora/dashboards/push/influx"
	"amphora/dashboards/push/mqtt"
	"amphora/dashboards/web"
	"amphora/decoders"
)

// DefaultListen is where the daemon serves its page unless told otherwise.
const DefaultListen = "127.0.0.1:9724"

// Config is a configuration that may be started. Paths in it are absolute or
// relative to the working directory; in the file they are relative to the file.
type Config struct {
	File     string
	Data     string // folder of journal and logbook; empty: see DataDir
	Listen   string // host:port
	Channels []Channel
	Journal  Journal
	Notify   []Notify
	Telling  notify.Rules // when those are told
	Push     []Push
	Access   web.Access
}

// Channel is one place where a battery is charged and watched.
type Channel struct {
	Name    string
	Feeds   []Feed          // one, or one for the voltage and one for the current
	Skew    time.Duration   // how far apart readings of two meters may be to be merged
	Options analyze.Options // of the battery and its meter; Channel and Battery are set
	Limits  Limits
}

// Feed is a source and how its lines are read.
type Feed struct {
	Of      string // voltage or current where two meters share a channel, else empty
	Source  Source
	Decoder *decoders.Layout // nil: find it from the lines
}

// Source is where lines come from; one field of it is set.
type Source struct {
	Serial *capture.Serial
	TCP    *capture.TCP
	File   *capture.File
	Stdin  bool
	Exec   *capture.Command
	SCPI   *capture.SCPI
	Modbus *Modbus
}

// Capture is the source as capture runs it, in being standard input.
func (s Source) Capture(in *capture.Input) (capture.Source, error) {
	switch {
	case s.Serial != nil:
		return s.Serial.Source()
	case s.TCP != nil:
		return s.TCP.Source()
	case s.File != nil:
		return s.File.Source()
	case s.Exec != nil:
		return s.Exec.Source()
	case s.SCPI != nil:
		return s.SCPI.Source()
	case s.Modbus != nil:
		return s.Modbus.capture().Source()
	case s.Stdin:
		return in.Source(), nil
	}
	return capture.Source{}, errors.New("this kind of source is read from no configuration yet")
}

// Limits are what the owner wants to be told of; 0 is no limit of theirs.
type Limits struct {
	Duration     time.Duration // of a charge
	Celsius      float64       // of the battery, degrees Celsius
	Charge       float64       // into the battery, C
	ChargeFactor float64       // the same as a multiple of the rated capacity
	Volts        float64       // at the battery, V
	Silence      time.Duration // without a reading
}

// Journal says how the raw record is kept. Zero fields take the journal's own
// defaults and remove nothing.
type Journal struct {
	Sync    time.Duration // what a power cut may cost
	Keep    time.Duration // remove what is older
	MinFree uint64        // bytes to keep free on the disk
}

// Modbus is a meter whose registers are read.
type Modbus struct {
	Serial           *capture.Serial // this
	TCP              *capture.TCP    // or this
	Framing          string          // over TCP: tcp, or rtu behind a bridge that passes on what goes over a serial line
	Unit             int             // 1 to 247
	Voltage, Current *Register       // nil: not read
	Every, Timeout   time.Duration
}

// Register is one value of a Modbus meter.
type Register struct {
	Address int     // as sent, 0 to 65535
	Table   string  // input or holding
	Type    string  // see decoders.RegisterTypes
	Order   string  // of its bytes, see decoders.ByteOrder
	Scale   float64 // V or A of one count, negative to turn the sign
}

// Notify is one way to tell the owner; one field of it is set.
type Notify struct {
	Webhook *notify.Webhook
	Command *notify.Command
	Email   *notify.Email
}

// Target is the way as notify takes it.
func (n Notify) Target() notify.Target {
	switch {
	case n.Webhook != nil:
		return n.Webhook
	case n.Email != nil:
		return n.Email
	}
	return n.Command
}

// Push is one place that readings are sent to; one field of it is set.
type Push struct {
	Influx *influx.Server
	MQTT   *mqtt.Settings
}
