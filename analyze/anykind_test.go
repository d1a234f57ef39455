package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestAVoltageThatNoKindOfBatteryIsChargedToIsAnAlarmWithoutALabel(t *testing.T) {
	// Half-way it stands at 13.2 V: six lead-acid cells, or four of lithium, of which 17.0 V is the most.
	rows := script(10, idle(600, 12.2), ramp(4*anHour, 12.5, 13.8, 8, 8), ramp(anHour, 13.8, 17.4, 8, 8), ramp(9*anHour, 17.4, 17.2, 8, 8))
	f := findingIn(run(analyze.Options{}, rows), analyze.CodeOverVoltage)
	require.NotNil(t, f)
	assert.InDelta(t, 600+4*anHour+anHour*(17.0-13.8)/3.6, float64(f.AtS), 60)
	assert.Contains(t, f.Message, "no kind of battery that stood at 13.")
	assert.False(t, analyze.Known(f.EndS), "it holds, whatever the voltage half-way has come to be since")
}

func TestWhatSomeKindOfBatteryIsChargedToIsNoAlarmWithoutALabel(t *testing.T) {
	of := map[string][]part{
		"four of lithium":                       {idle(600, 12.4), ramp(4*anHour, 13.6, 16.8, 2, 2), fade(anHour, 16.8, 2, 1200)},
		"lead-acid equalised in the cold":       {idle(600, 12.4), ramp(6*anHour, 12.7, 14.4, 5, 5), ramp(2*anHour, 14.4, 16.4, 2, 2)},
		"a quick charge of nickel":              {idle(600, 12.6), ramp(1.2*anHour, 14.0, 15.9, 2, 2), ramp(300, 15.9, 15.8, 2, 2)},
		"six of lead-acid, one of them shorted": {idle(600, 9.9), ramp(4*anHour, 10.2, 10.6, 4, 4), ramp(4*anHour, 10.6, 13.2, 4, 4), ramp(2*anHour, 13.2, 12.7, 4, 4)},
		"leads that are reversed":               {idle(600, -12.4), ramp(4*anHour, -12.6, -13.8, 5, 5)},
		"lithium that had to be woken first":    {idle(600, 9), ramp(2*anHour, 11, 14.9, 0.2, 0.2), ramp(300, 15, 17, 2, 2), ramp(4*anHour, 17, 21, 2, 2), fade(anHour, 21, 2, 1200)},
	}
	for name, parts := range of {
		t.Run(name, func(t *testing.T) {
			d := run(analyze.Options{}, script(10, parts...))
			assert.Nil(t, findingIn(d, analyze.CodeOverVoltage), listed(d))
		})
	}
}
