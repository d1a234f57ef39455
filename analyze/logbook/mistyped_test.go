package logbook

import (
	"strings"
	"testing"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

func TestAReadingThatLooksMistypedSaysHow(t *testing.T) {
	now := time.Date(2026, 3, 14, 21, 40, 0, 0, time.FixedZone("", 3600))
	car := Battery{Name: "car", Chemistry: new(analyze.LeadFlooded), Cells: new(6)}
	of := func(c analyze.Chemistry) Battery { return Battery{Chemistry: &c} }
	for _, c := range []struct {
		of   Battery
		r    Reading
		want string // nothing: it looks right
	}{
		{car, Reading{Volts: new(-12.0)}, "-12 V has the wrong sign"},
		{of(analyze.NiMH), Reading{Volts: new(-1.2)}, "-1.2 V has the wrong sign"},
		{car, Reading{Volts: new(127.3)}, "127.3 V is more than the 15.9 V that 6 cells of lead-flooded are ever charged to"},
		{car, Reading{Gravity: new(1.4)}, "a gravity of 1.4 is outside of the 1.05 to 1.34"},
		{Battery{}, Reading{Gravity: new(1.02)}, "a gravity of 1.02"},
		{of(analyze.LeadGel), Reading{Gravity: new(1.265)}, "a lead-gel battery has nothing in it that could be weighed"},
		{car, Reading{Celsius: new(95.0)}, "95 °C is outside of the -40 to 60 °C that batteries are kept at; 95 °F would be 35 °C"},
		{car, Reading{Celsius: new(-60.0)}, "-60 °C is outside"},
		{car, Reading{At: now.Add(time.Hour)}, "2026-03-14 22:40 is still to come by this clock"},
		{car, Reading{Volts: new(12.73), Gravity: new(1.3), Celsius: new(-20.0), At: now.Add(-time.Hour)}, ""},
		{car, Reading{Volts: new(0.0), Gravity: new(1.1), Celsius: new(45.0), At: now.Add(time.Second)}, ""},
		{Battery{}, Reading{Volts: new(127.3), Gravity: new(1.265)}, ""}, // of one of which nothing is known
		{of(analyze.NiCd), Reading{Gravity: new(1.2)}, ""},
	} {
		if told := c.r.Mistyped(c.of, now); c.want == "" {
			assert.Empty(t, told)
		} else if assert.Len(t, told, 1, c.want) {
			assert.Contains(t, told[0], c.want)
		}
	}
	all := Reading{Volts: new(-12.0), Gravity: new(1.4), Celsius: new(95.0), At: now.AddDate(900, 0, 0)}.Mistyped(car, now)
	assert.Len(t, all, 4, strings.Join(all, "; "))
}

func TestABatteryOfTheFutureIsToldSo(t *testing.T) {
	now := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	for _, b := range []Battery{{Retired: new(now.AddDate(973, 0, 0))}, {Bought: "2999"}, {Bought: "2026-04"}, {Bought: "2026-03-16"}} {
		assert.Len(t, b.Mistyped(now), 1, "%+v", b)
	}
	for _, b := range []Battery{{}, {Retired: new(now)}, {Bought: "2026"}, {Bought: "2026-03"}, {Bought: "2026-03-14"}, {Bought: "2025-12-31"}} {
		assert.Empty(t, b.Mistyped(now), "%+v", b)
	}
}
