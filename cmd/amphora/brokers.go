package main

import (
	"os"
	"path/filepath"
	"strings"

	"amphora/cmd/amphora/config"
	"amphora/dashboards/push/mqtt"
)

// brokers are those that a configuration names.
func brokers(cfg *config.Config, data string) (all []mqtt.Options) {
	for _, p := range cfg.Push {
		if p.MQTT != nil {
			all = append(all, mqtt.Options{Settings: *p.MQTT, Instance: instance(machineID, data), Program: version()})
		}
	}
	return all
}

// machineID is where a machine's own identity stands.
const machineID = "/etc/machine-id"

// instance tells a daemon from all others: a machine has its own identity, and on it
// a data folder only one daemon. Images of containers come without one, or with an
// empty file, and as many as are started of one have the same folder; their names differ.
func instance(identity, data string) string {
	text, _ := os.ReadFile(identity)
	machine := strings.TrimSpace(string(text))
	if machine == "" {
		machine, _ = os.Hostname() // the folder alone has to do
	}
	if whole, err := filepath.Abs(data); err == nil {
		data = whole
	}
	return machine + "\n" + data
}
