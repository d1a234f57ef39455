package decoders

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBytesThatNobodyWroteAreNoHeading(t *testing.T) {
	assert.True(t, byHand([]byte("Zeit [s];Spannung [V];Temp [\xb0C]")))
	assert.True(t, byHand([]byte("время\tнапряжение\tток")))
	assert.False(t, byHand([]byte("V,\x01A,t")))
	assert.False(t, byHand([]byte("\xc4\xf1V,\xe8\xb0A,\xff")))
}
