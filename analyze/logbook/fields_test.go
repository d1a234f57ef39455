package logbook

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBatteryFieldsThatCannotBeRight(t *testing.T) {
	for _, c := range []struct {
		field string
		value any
		want  string
	}{
		{"name", "", "name is missing"},
		{"name", "-a", `name is "-a", want a letter or a digit in front`},
		{"name", "..", `name is "..", want a letter or a digit in front`},
		{"name", "a/b", `name is "a/b", want no slash and nothing unprintable in it`},
		{"name", "a\nb", `name is "a\nb", want no slash and nothing unprintable in it`},
		{"name", "a ", `name is "a ", want no space at the end`},
		{"name", strings.Repeat("ü", 65), "name has 65 characters, want 64 at most"},
		{"chemistry", "zinc", `chemistry is not usable: chemistry "zinc" is not known; known are lead-flooded, lead-agm, lead-gel, li-ion, lifepo4, nimh, nicd`},
		{"cells", 0, "cells is 0, want 1 to 1000"},
		{"cells", 6.5, "cells is 6.5, want a whole number"},
		{"capacity_ah", -3, "capacity_ah is -3, want more than 0 and at most 100000 Ah"},
		{"capacity_ah", "35Ah", `capacity_ah is "35Ah", want a number`},
		{"capacity_ah", math.NaN(), "capacity_ah is NaN, want a value that JSON can hold"},
		{"capacity_hours", 0, "capacity_hours is 0, want more than 0 and at most 1000 h"},
		{"reserve_minutes", true, "reserve_minutes is true, want a number"},
		{"bought", "14.3.2026", `bought is "14.3.2026", want a date like 2026-03-14, 2026-03 or 2026`},
		{"bought", "2026-02-30", `bought is "2026-02-30", want a date like 2026-03-14, 2026-03 or 2026`},
		{"where", 5, "where is 5, want text"},
		{"note", []int{1}, "note is [1], want text"},
		{"retired", "yesterday", `retired is "yesterday", want a time like 2026-03-14T21:40:00Z`},
		{"retired", 5, "retired is 5, want a time like 2026-03-14T21:40:00Z"},
		{"retired", "1926-01-01T00:00:00Z", "retired is in the year 1926, want 1970 to 9999"},
		{"capacity", 5, "capacity is not known; known are bought, capacity_ah, capacity_hours, cells, chemistry, name, note, reserve_minutes, retired, where"},
		{"Name", "x", "Name is not known; known are bought, capacity_ah, capacity_hours, cells, chemistry, name, note, reserve_minutes, retired, where"},
	} {
		given := Fields{"name": "mower"}
		given[c.field] = c.value
		_, err := NewBattery(given)
		invalid, ok := errors.AsType[*Invalid](err)
		require.True(t, ok, "%s = %v: %v", c.field, c.value, err)
		assert.Equal(t, c.field, invalid.Field)
		assert.EqualError(t, err, c.want)
	}
}

func TestSeveralWrongFieldsAreAllNamed(t *testing.T) {
	_, err := NewBattery(Fields{"name": "mower", "cells": -1, "bought": "soon"})
	assert.EqualError(t, err, "cells is -1, want 1 to 1000\n"+`bought is "soon", want a date like 2026-03-14, 2026-03 or 2026`)

	_, err = NewBattery(Fields{"name": "mower", "cells": "six", "capacity_ah": true, "colour": "red"})
	assert.EqualError(t, err, "capacity_ah is true, want a number\n"+`cells is "six", want a whole number`+"\n"+
		"colour is not known; known are bought, capacity_ah, capacity_hours, cells, chemistry, name, note, reserve_minutes, retired, where")
}

func TestBytesThatAreNoTextAreRefused(t *testing.T) {
	book := newBook(t)
	assert.EqualError(t, book.AddBattery(t.Context(), Battery{Name: "a\xff"}), `name is not UTF-8 text: "a\xff"`)
	assert.EqualError(t, book.AddBattery(t.Context(), Battery{Name: "a", Note: "\xff"}), `note is not UTF-8 text: "\xff"`)
}

func TestNameCannotBeEdited(t *testing.T) {
	_, err := mower().With(Fields{"name": "tractor"})
	assert.EqualError(t, err, `name stays "mower", because sessions and readings refer to it; retire this battery and add another`)
	same, err := mower().With(Fields{"name": "mower"})
	require.NoError(t, err)
	assert.Equal(t, mower(), same)
}

func TestReadingFieldsThatCannotBeRight(t *testing.T) {
	for _, c := range []struct {
		given Fields
		field string
		want  string
	}{
		{Fields{"at": evening}, "", "the reading says nothing; give at least one of ohm, volts, gravity, celsius, remark"},
		{Fields{"volts": 12.7}, "at", "at is missing; say when it was measured"},
		{Fields{"at": evening, "ohm": 29}, "ohm", "ohm is 29, want more than 0 and at most 10 ohm (29 mohm is 0.029)"},
		{Fields{"at": evening, "gravity": 1265}, "gravity", "gravity is 1265, want more than 0.9 and at most 1.5 (1.265, not 1265)"},
		{Fields{"at": evening, "celsius": 291}, "celsius", "celsius is 291, want more than -80 and at most 200 degrees Celsius"},
		{Fields{"at": evening, "volts": 12700}, "volts", "volts is 12700, want more than -1000 and at most 1000 V"},
		{Fields{"at": evening, "volts": 12.7, "id": "x"}, "id", "id is given by the logbook; leave it out"},
		{Fields{"at": evening, "volts": 12.7, "battery": "car"}, "battery", `battery is "car", but the reading is being noted for "mower"`},
		{Fields{"at": "at nine", "volts": 12.7}, "at", `at is "at nine", want a time like 2026-03-14T21:40:00Z`},
		{Fields{"at": evening, "voltage": 12.7}, "voltage", "voltage is not known; known are at, battery, celsius, gravity, id, means, ohm, remark, volts"},
	} {
		_, err := NewReading("mower", c.given)
		invalid, ok := errors.AsType[*Invalid](err)
		require.True(t, ok, "%v: %v", c.given, err)
		assert.Equal(t, c.field, invalid.Field)
		assert.EqualError(t, err, c.want)
	}
	good, err := NewReading("mower", Fields{"at": evening, "volts": 12.7, "remark": "after 20 h"})
	require.NoError(t, err)
	assert.Equal(t, Reading{Battery: "mower", At: evening, Volts: new(12.7), Remark: "after 20 h"}, good)
}
