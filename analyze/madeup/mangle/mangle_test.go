package mangle

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var sound = [][]byte{[]byte("12.65V 3.359A"), []byte("time_s,voltage_V\n0,12.65\n"), nil}

func TestTheSameSeedGivesTheSameTexts(t *testing.T) {
	a, b, other := New(7, sound...), New(7, sound...), New(8, sound...)
	differ := false
	for range 10000 {
		text := a.Next()
		require.Equal(t, text, b.Next())
		differ = differ || !bytes.Equal(text, other.Next())
		require.LessOrEqual(t, len(text), longest)
	}
	assert.True(t, differ)
	assert.Equal(t, "12.65V 3.359A", string(sound[0]), "what was given stays as it was")
	assert.Greater(t, len(a.texts), len(sound)+100, "about one in %d is kept", deeper)
}
