package label

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/plan"
)

func TestWhatIsTypedIsReadInItsUnit(t *testing.T) {
	in, wrong := Read(map[string]string{
		"reserve-minutes": "85", "rated-hours": " 20 ", "cold-cranking": "600", "chemistry": "lead-agm", "cells": "6", "volts": "12",
		"depth": "60%", "rate": "10%", "celsius": "68F", "timer": "2", "lead-length": "150cm", "lead-area": "2.5", "capacity": "",
	})
	require.Empty(t, wrong)
	assert.Equal(t, 85*60.0, in.Reserve)
	assert.Equal(t, 20*3600.0, in.RatedTime)
	assert.Equal(t, 600.0, in.ColdCranking)
	assert.Equal(t, analyze.LeadAGM, in.Chemistry)
	assert.Equal(t, 6, in.Cells)
	assert.Equal(t, 12.0, in.Volts)
	assert.Equal(t, 0.6, in.Depth)
	assert.Equal(t, 0.1, in.RateShare)
	assert.False(t, analyze.Known(in.Rate))
	assert.InDelta(t, 20, in.Celsius, 1e-9)
	assert.Equal(t, 7200.0, in.Timer)
	assert.Equal(t, 1.5, in.LeadLength)
	assert.InDelta(t, 2.5e-6, in.LeadArea, 1e-18)
	assert.False(t, analyze.Known(in.Capacity), "what is empty was not told")

	in, wrong = Read(map[string]string{"capacity": "80Wh", "rate": "0.5C"})
	require.Empty(t, wrong)
	assert.Equal(t, 80*3600.0, in.Energy)
	assert.Equal(t, 0.5, in.RateShare)
}

func TestEverySlipIsNamed(t *testing.T) {
	_, wrong := Read(map[string]string{"capacity": "17 volts", "cells": "six", "colour": "red", "rate": "nanC", "volts": "12"})
	var of []string
	for _, err := range wrong {
		w, ok := err.(*plan.Wrong)
		require.True(t, ok)
		of = append(of, w.Of)
		assert.NotEmpty(t, w.Why)
	}
	assert.Equal(t, []string{"capacity", "cells", "rate", "colour"}, of)
}
