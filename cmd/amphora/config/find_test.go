package config

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const minimal = "channels: [{name: a, source: {stdin: {}}}]\n"

// From the last place to the first: each newly written file hides those before.
func TestFindLooksInTheUsualPlaces(t *testing.T) {
	env := map[string]string{"HOME": "/home/ann"}
	h := machine(t, env)
	_, found := h.Find()
	assert.False(t, found)
	for _, path := range []string{"/etc/amphora/amphora.yaml", "/home/ann/.config/amphora/amphora.yaml", "amphora.yaml"} {
		h.write(t, path, minimal, 0o644)
		got, found := h.Find()
		assert.True(t, found)
		assert.Equal(t, path, got)
	}
	env["AMPHORA_CONFIG"] = "/srv/not-there.yaml"
	got, found := h.Find()
	assert.True(t, found, "what was named is wanted, also if it is not there")
	assert.Equal(t, "/srv/not-there.yaml", got)
}

// What people are told is where it is looked.
func TestUsualPlacesAreTold(t *testing.T) {
	h := machine(t, map[string]string{"HOME": "/home/ann"})
	told := strings.NewReplacer("~", "/home/ann", "./", "").Replace(UsualPlaces)
	assert.Equal(t, "$AMPHORA_CONFIG, "+strings.Join(h.places(), ", "), told)
}

func TestFindHonoursTheUsersFolder(t *testing.T) {
	env := map[string]string{"HOME": "/home/ann", "XDG_CONFIG_HOME": "/srv/ann"}
	h := machine(t, env)
	h.write(t, "/srv/ann/amphora/amphora.yaml", minimal, 0o644)
	h.write(t, "/home/ann/.config/amphora/amphora.yaml", minimal, 0o644)
	got, _ := h.Find()
	assert.Equal(t, "/srv/ann/amphora/amphora.yaml", got)
	env["XDG_CONFIG_HOME"] = "relative" // does not count, says the specification
	got, _ = h.Find()
	assert.Equal(t, "/home/ann/.config/amphora/amphora.yaml", got)
}

// From the last resort to the first word.
func TestDataDir(t *testing.T) {
	env := map[string]string{}
	h := machine(t, env)
	_, err := h.DataDir("")
	assert.ErrorContains(t, err, "give it with --data")

	expect := func(want, flag string) {
		t.Helper()
		got, err := h.DataDir(flag)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	env["HOME"] = "/home/ann"
	expect("/home/ann/.local/state/amphora", "")
	env["XDG_STATE_HOME"] = "/state"
	expect("/state/amphora", "")
	h.write(t, "/etc/amphora/amphora.yaml", minimal, 0o644)
	expect("/state/amphora", "")
	h.write(t, "/etc/amphora/amphora.yaml", minimal+"data: records\n", 0o644)
	expect("/etc/amphora/records", "")
	env["AMPHORA_DATA"] = "/data"
	expect("/data", "")
	expect("here", "here")
}

// A battery can be noted down while another part of the configuration is
// broken, but never into another folder than the one that is meant.
func TestDataDirOfABrokenConfiguration(t *testing.T) {
	h := machine(t, map[string]string{"HOME": "/home/ann"})
	h.write(t, "amphora.yaml", "data: /records\nchannels: []\nnonsense: 1\n", 0o644)
	got, err := h.DataDir("")
	require.NoError(t, err)
	assert.Equal(t, "/records", got)
	for text, want := range map[string]string{
		"data: [":      "amphora.yaml:1:7: not YAML",
		"data: [a]":    "amphora.yaml:1:7: data: got a list, want a folder",
		"data: ~/here": `amphora.yaml:1:7: data: "~/here": only a shell knows ~`,
		"just text":    "amphora.yaml:1:1: got a value",
		"":             "amphora.yaml: holds no settings",
	} {
		h.write(t, "amphora.yaml", text, 0o644)
		_, err := h.DataDir("")
		assert.ErrorContains(t, err, want, text)
		assert.ErrorContains(t, err, "--data", text)
	}
}
