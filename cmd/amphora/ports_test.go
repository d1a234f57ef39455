package main

import (
	"bytes"
	"encoding/json"
	"testing"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var madeUpPorts = []capture.Port{
	{Device: "/dev/ttyS0", Kind: "built-in serial port", Access: capture.Access{Allowed: true}},
	{
		Device: "/dev/ttyUSB0", ByID: []string{"/dev/serial/by-id/usb-UART_A123-if00-port0"}, Kind: "USB serial adapter",
		USB:     &capture.USB{Vendor: "1a2b", Product: "3c4d", Serial: "A123", Text: "USB to UART\x1b[2J"},
		Holders: []capture.Holder{{PID: 812, Command: "terminal"}},
		Access:  capture.Access{Owner: "root", Group: "dialout", Mode: "crw-rw----", User: "anna"},
	},
}

func TestPortsPage(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, portPage(&page, madeUpPorts))
	golden(t, "ports", take(&page))
	require.NoError(t, portPage(&page, nil))
	assert.Equal(t, "no serial ports here; plug the adapter in and look again\n", take(&page))
}

func TestPortsDocument(t *testing.T) {
	text, err := json.Marshal(portViews(madeUpPorts))
	require.NoError(t, err)
	var views []portView
	require.NoError(t, json.Unmarshal(text, &views))
	assert.Equal(t, "/dev/serial/by-id/usb-UART_A123-if00-port0", views[1].Name)
	assert.Equal(t, []holderView{{812, "terminal"}}, views[1].Holders)
	assert.False(t, views[1].Allowed)
	assert.NotNil(t, views[1].Advice)
	assert.Nil(t, views[0].Advice)
	assert.Nil(t, views[0].USB)
}

// TestPortsOfThisHost knows nothing of the host but that its ports have names.
func TestPortsOfThisHost(t *testing.T) {
	for _, v := range doneJSON[[]portView](t, "ports") {
		assert.NotEmpty(t, v.Name)
		assert.NotEmpty(t, v.Kind)
	}
	assert.NotEmpty(t, done(t, "ports"))
}
