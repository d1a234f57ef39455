package main

import (
	"os"
	"path/filepath"

	"amphora/cmd/amphora/config"
	"amphora/dashboards/push/mqtt"
)

// brokers are those that a configuration names.
func brokers(cfg *config.Config, data string) (all []mqtt.Options) {
	for _, p := range cfg.Push {
		if p.MQTT != nil {
			all = append(all, mqtt.Options{Settings: *p.MQTT, Instance: instance(data), Program: version()})
		}
	}
	return all
}

// instance tells a daemon from all others: a machine has its own identity, and on it
// a data folder only one daemon.
func instance(data string) string {
	machine, err := os.ReadFile("/etc/machine-id")
	if err != nil {
		name, _ := os.Hostname() // the folder alone has to do
		machine = []byte(name)
	}
	if whole, err := filepath.Abs(data); err == nil {
		data = whole
	}
	return string(machine) + data
}
