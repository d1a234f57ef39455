package mqtt

import (
	"encoding/json"
	"fmt"
	"strings"

	"amphora/analyze"
)

// Home dashboards find sensors by messages that describe them. The convention is
// an open one: a retained JSON object under
//
//	<prefix>/<component>/<node>/<object>/config
//
// which names the topic and a template that takes the value out of its payload. The
// node is this daemon, the object a sensor of a channel. Names of fields and classes
// are those of the convention; a value of null shows there as unknown.

// describer describes the sensors of channels.
type describer struct {
	prefix  string
	tree    tree
	node    string // a client identifier
	program string
}

// sensor is one thing that can be seen of a channel.
type sensor struct {
	component string // sensor or binary_sensor
	object    string // after the channel
	name      string
	topic     string // below the channel
	template  string
	unit      string
	class     string // what kind of quantity it is
	state     string // how it behaves over the years
	options   []string
	category  string // diagnostic where it tells of the meter rather than the battery
}

const (
	plainSensor  = "sensor"
	yesNoSensor  = "binary_sensor"
	measurement  = "measurement"
	restartsAt0  = "total_increasing"
	diagnostic   = "diagnostic"
	celsiusThing = "celsius"
)

// sensors are those of each channel.
var sensors = []sensor{
	{component: plainSensor, object: "volts", name: "Voltage", topic: readingTopic, template: "{{ value_json.volts }}", unit: "V", class: "voltage", state: measurement},
	{component: plainSensor, object: "amps", name: "Current", topic: readingTopic, template: "{{ value_json.amps }}", unit: "A", class: "current", state: measurement},
	{component: plainSensor, object: celsiusThing, name: "Temperature", topic: readingTopic, template: "{{ value_json.celsius }}", unit: "°C", class: "temperature", state: measurement},
	{component: plainSensor, object: "stage", name: "Stage", topic: stageTopic, template: "{{ value_json.stage }}", class: "enum", options: stageNames()},
	{component: plainSensor, object: "charge_in", name: "Charge in", topic: chargeTopic, template: "{{ value_json.charge_in_ah }}", unit: "Ah", state: restartsAt0},
	{component: plainSensor, object: "energy_in", name: "Energy in", topic: chargeTopic, template: "{{ value_json.energy_in_wh }}", unit: "Wh", class: "energy", state: restartsAt0},
	{component: plainSensor, object: "expected", name: "Expected finish", topic: chargeTopic, template: "{{ value_json.expected }}", class: "timestamp"},
	{component: plainSensor, object: "outcome", name: "Outcome", topic: chargeTopic, template: "{{ value_json.outcome }}", class: "enum", options: outcomes()},
	{component: yesNoSensor, object: "trouble", name: "Trouble", topic: findingsTopic, template: "{{ 'ON' if value_json.worst in ['warning', 'alarm'] else 'OFF' }}", class: "problem"},
	{component: yesNoSensor, object: "meter", name: "Meter", topic: sourceTopic, template: "{{ 'ON' if value_json.up else 'OFF' }}", class: "connectivity", category: diagnostic},
}

func stageNames() (names []string) {
	for _, s := range analyze.StageNames() {
		names = append(names, string(s))
	}
	return names
}

func outcomes() (names []string) {
	for _, o := range []analyze.Outcome{analyze.Complete, analyze.CutShort, analyze.Running, analyze.Faulted} {
		names = append(names, string(o))
	}
	return names
}

// description is what is said of a sensor, in the words of the convention.
type description struct {
	Name         string   `json:"name"`
	UniqueID     string   `json:"unique_id"`
	StateTopic   string   `json:"state_topic"`
	Template     string   `json:"value_template"`
	Unit         string   `json:"unit_of_measurement,omitempty"`
	DeviceClass  string   `json:"device_class,omitempty"`
	StateClass   string   `json:"state_class,omitempty"`
	Options      []string `json:"options,omitempty"`
	Category     string   `json:"entity_category,omitempty"`
	Availability string   `json:"availability_topic"`
	AvailableIf  string   `json:"availability_template"`
	Device       device   `json:"device"`
	Origin       program  `json:"origin"`
}

// device is what the sensors of a channel belong to.
type device struct {
	Identifiers []string `json:"identifiers"`
	Name        string   `json:"name"`
}

// program is who describes them.
type program struct {
	Name    string `json:"name"`
	Version string `json:"sw_version,omitempty"`
}

// topic is where a sensor is described.
func (d *describer) topic(channel string, s *sensor) string {
	return fmt.Sprintf("%s/%s/%s/%s_%s/config", d.prefix, s.component, d.node, identifier(channel), s.object)
}

// describe returns the descriptions of a channel's sensors; that of its temperature
// only where one is measured.
func (d *describer) describe(channel string, warm bool) (all []*message) {
	if d.prefix == "" {
		return nil
	}
	for k := range sensors {
		s := &sensors[k]
		if (s.object == celsiusThing) != warm {
			continue
		}
		b, err := json.Marshal(description{
			Name: s.name, UniqueID: d.node + "_" + identifier(channel) + "_" + s.object,
			StateTopic: d.tree.of(channel, s.topic), Template: s.template, Unit: s.unit, DeviceClass: s.class, StateClass: s.state, Options: s.options, Category: s.category,
			Availability: d.tree.state(), AvailableIf: "{{ value_json.state }}",
			Device: device{[]string{d.node + "_" + identifier(channel)}, strings.ToValidUTF8(channel, "\uFFFD")},
			Origin: program{"amphora", d.program},
		})
		if err != nil { // of text only, which always can be written
			panic("mqtt: " + err.Error())
		}
		all = append(all, &message{topic: d.topic(channel, s), payload: b})
	}
	return all
}

// topics are all in which a channel's sensors may be described.
func (d *describer) topics(channel string) (all []string) {
	if d.prefix == "" {
		return nil
	}
	for k := range sensors {
		all = append(all, d.topic(channel, &sensors[k]))
	}
	return all
}

// identifier makes an object of any text: the convention has letters, digits, "-"
// and "_". What is none of the first three is "_" and two hexadecimal digits.
func identifier(text string) string {
	var b strings.Builder
	for _, c := range []byte(text) {
		if plain(c) || c == '-' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "_%02x", c)
		}
	}
	return b.String()
}
