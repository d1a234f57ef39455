package config

import (
	"errors"
	"fmt"
	"path/filepath"
)

// fileName is what a configuration is called where nobody said otherwise.
const fileName = "amphora.yaml"

// UsualPlaces are where a configuration is looked for, the first first, as people are told.
const UsualPlaces = "$AMPHORA_CONFIG, ./amphora.yaml, ~/.config/amphora/amphora.yaml, /etc/amphora/amphora.yaml"

// Find looks for a configuration in the usual places of this machine.
func Find() (path string, found bool) { return Here().Find() }

// Find looks for a configuration in the usual places: $AMPHORA_CONFIG, the
// working folder, the user's configuration folder and /etc/amphora. What
// $AMPHORA_CONFIG names is taken as found even if it is not there: to fall back
// on another file in silence would record with the wrong settings.
func (h Host) Find() (path string, found bool) {
	if path := h.Getenv("AMPHORA_CONFIG"); path != "" {
		return path, true
	}
	for _, path := range h.places() {
		if info, err := h.stat(path); err == nil && info.Mode().IsRegular() {
			return path, true
		}
	}
	return "", false
}

func (h Host) places() []string {
	list := []string{fileName}
	if dir := h.userDir("XDG_CONFIG_HOME", ".config"); dir != "" {
		list = append(list, filepath.Join(dir, "amphora", fileName))
	}
	return append(list, filepath.Join("/etc/amphora", fileName))
}

// userDir is one of the user's folders after the XDG Base Directory
// Specification, by which a relative path in the variable does not count. Empty
// if the user has no home.
func (h Host) userDir(variable, usual string) string {
	if dir := h.Getenv(variable); filepath.IsAbs(dir) {
		return dir
	}
	if home := h.Getenv("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, usual)
	}
	return ""
}

// DataDir is the data folder on this machine, flag being the value of --data.
func DataDir(flag string) (string, error) { return Here().DataDir(flag) }

// DataDir is the folder of journal and logbook: the flag, else $AMPHORA_DATA,
// else the data of a configuration in the usual places, else the user's state
// folder. A configuration that cannot be read is an error, since its data may
// be elsewhere; other problems of it do not matter here.
func (h Host) DataDir(flag string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	if dir := h.Getenv("AMPHORA_DATA"); dir != "" {
		return dir, nil
	}
	if path, found := h.Find(); found {
		c, problems := h.load(path, nil)
		for _, p := range problems {
			if !p.Warning && (p.Key == "" || p.Key == "data") {
				return "", fmt.Errorf("the data folder is not known, give it with --data or mend the configuration: %w", p)
			}
		}
		if c.Data != "" {
			return c.Data, nil
		}
	}
	return h.StateDir()
}

// StateDir is the data folder where nobody named one.
func (h Host) StateDir() (string, error) {
	dir := h.userDir("XDG_STATE_HOME", filepath.Join(".local", "state"))
	if dir == "" {
		return "", errors.New("the data folder is not known, since neither XDG_STATE_HOME nor HOME is set; give it with --data or set AMPHORA_DATA")
	}
	return filepath.Join(dir, "amphora"), nil
}
