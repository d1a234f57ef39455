package main

import (
	"os"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two daemons that are one client to a broker throw each other out.
func TestEachDaemonIsAnInstanceOfItsOwn(t *testing.T) {
	one, other := testhelp.File(t, "4c4c4544003036108052b8c04f4a3732\n"), testhelp.File(t, "f0e1d2c3b4a5968778695a4b3c2d1e0f\n")
	here := instance(one, "/var/lib/amphora")
	assert.Equal(t, here, instance(one, "/var/lib/../lib/amphora"))
	assert.NotEqual(t, here, instance(other, "/var/lib/amphora"), "another machine")
	assert.NotEqual(t, here, instance(one, "/srv/amphora"), "another folder")
	name, err := os.Hostname()
	require.NoError(t, err)
	for _, none := range []string{testhelp.File(t, ""), testhelp.File(t, "\n"), "/nowhere"} {
		assert.Contains(t, instance(none, "/var/lib/amphora"), name, "machines without an identity have names")
	}
}
