package analyze

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUnknownNumbersAreNullAndNeverZero(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", 21.64: "21.64", -0.06: "-0.06", 1.0 / 3: "0.333333333", 51854: "51854", 123456789012: "123456789000",
		1e-12: "0.000000000001", math.Inf(1): "null", math.Inf(-1): "null",
	} {
		b, err := json.Marshal(Number(x))
		require.NoError(t, err)
		assert.Equal(t, want, string(b))
	}
	b, err := json.Marshal(Number(Unknown()))
	require.NoError(t, err)
	assert.Equal(t, "null", string(b))
}

func TestNumbersAreReadBack(t *testing.T) {
	var n Number
	require.NoError(t, json.Unmarshal([]byte("21.64"), &n))
	assert.Equal(t, Number(21.64), n)
	require.NoError(t, json.Unmarshal([]byte("null"), &n))
	assert.False(t, Known(n))
	require.Error(t, json.Unmarshal([]byte(`"x"`), &n))
}

func TestKnownIsNeitherBlankNorInfinite(t *testing.T) {
	assert.True(t, Known(0.0))
	assert.True(t, Known(-1e300))
	assert.False(t, Known(Unknown()))
	assert.False(t, Known(math.Inf(1)))
	assert.False(t, Known(math.Inf(-1)))
}

// Lists of a document are there even if nothing is in them: programs read them.
func TestEmptyListsAreListsInJSON(t *testing.T) {
	m := New(Options{})
	m.Step(Sample{At: 0, Volts: 12.6, Amps: 0, Celsius: Unknown(), Counter: Unknown()})
	b, err := json.Marshal(m.Document())
	require.NoError(t, err)
	for _, want := range []string{`"rejected":[]`, `"stages":[]`, `"findings":[]`, `"gaps":[]`, `"resistance":[]`, `"dc_resistance":[]`, `"finish_s":null`, `"started":null`, `"held_v":null`, `"rest":null`, `"forecast":null`, `"capacity":null`} {
		assert.Contains(t, string(b), want)
	}
}

func TestStagesAreListedInTheOrderOfACharge(t *testing.T) {
	assert.Equal(t, []StageName{Idle, ConstantCurrent, ConstantVoltage, Finish, Rest}, StageNames())
}

// As data sheets write it.
func TestAccuracyIsWrittenAsDataSheetsDo(t *testing.T) {
	assert.Equal(t, "0.5% + 2d", Accuracy{Fraction: 0.005, Digits: 2}.String())
	assert.Equal(t, "0.8%", Accuracy{Fraction: 0.008}.String())
	assert.Equal(t, "1% + 3d + 0.02", Accuracy{Fraction: 0.01, Digits: 3, Absolute: 0.02}.String())
	assert.Equal(t, DefaultAccuracy, Accuracy{}.orDefault())
	assert.Equal(t, Accuracy{Digits: 1}, Accuracy{Digits: 1}.orDefault())
}

func TestSeveritiesAreInOrder(t *testing.T) {
	order := []Severity{"", Note, Warning, Alarm}
	for i, a := range order {
		for k, b := range order {
			assert.Equal(t, i > k, a.Worse(b), "%q and %q", a, b)
		}
	}
}
