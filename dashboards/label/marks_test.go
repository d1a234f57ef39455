package label

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestALabelsMarksAreUnderstood(t *testing.T) {
	for _, text := range []string{"540", "540A", "540 A", "540 A EN", "540A (EN)", "540 CCA", "540CCA", "CCA 540", "540 A CCA (SAE)", "0.54kA DIN"} {
		in, wrong := Read(map[string]string{"cold-cranking": text})
		require.Empty(t, wrong, text)
		assert.InDelta(t, 540, in.ColdCranking, 1e-9, text)
	}
	for _, text := range []string{"CCA", "540 A EN 320 A DIN", "540 Ah", "500 BMW"} {
		_, err := ColdCranking(text)
		assert.ErrorContains(t, err, "want text like 540A or 540 CCA", text)
	}
	for _, text := range []string{"20", "20h", "C20", "c20", "K20", "C/20", " C 20 ", "20HR", "1200min"} {
		in, wrong := Read(map[string]string{"rated-hours": text})
		require.Empty(t, wrong, text)
		assert.InDelta(t, 20*3600, in.RatedTime, 1e-6, text)
	}
	in, wrong := Read(map[string]string{"rate": "C/10"})
	require.Empty(t, wrong)
	assert.InDelta(t, 0.1, in.RateShare, 1e-12)
	_, wrong = Read(map[string]string{"rate": "C/0"})
	assert.Len(t, wrong, 1)
	for _, text := range []string{"C", "20C", "C20 h", "twenty"} {
		_, err := RatedTime(text)
		assert.Error(t, err, text)
	}
}

func TestTheHourRateBesideACapacityIsSentToItsField(t *testing.T) {
	for text, want := range map[string]string{
		"60Ah C5": "write 60Ah, and 5 as the rated hours (--rated-hours 5)", "60 Ah (C5)": "--rated-hours 5", "7.2Ah/20HR": "write 7.2Ah, and 20 ",
		"60Ah (20 h)": "--rated-hours 20", "60 Ah @ 100h": "--rated-hours 100", "C20 60Ah": "write 60Ah, and 20 ", "C5=60 Ah": "--rated-hours 5", "600mAh K10": "write 600mAh, and 10 ",
	} {
		_, wrong := Read(map[string]string{"capacity": text})
		require.Len(t, wrong, 1, text)
		assert.ErrorContains(t, wrong[0], want, text)
	}
	for _, text := range []string{"60Ah 540A", "60Ah x5", "60 V", "17 volts"} {
		_, wrong := Read(map[string]string{"capacity": text})
		require.Len(t, wrong, 1, text)
		assert.NotContains(t, wrong[0].Error(), "--rated-hours", text)
	}
}
