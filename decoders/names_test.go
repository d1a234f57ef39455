package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Headings in the languages of those who keep logs.
func TestNamesInManyLanguages(t *testing.T) {
	for of, names := range map[Quantity][]string{
		Time:    {"sample time", "Tidpunkt", "Aika", "Idő", "Süre", "Vrijeme", "Время", "Час", "Χρόνος", "経過時間", "时间", "시간"},
		Volts:   {"Batterispänning", "Spenning", "Akun jännite (V)", "Feszültség", "AKÜ GERILIMI", "Tensiunea bateriei", "Napon baterije", "Напряжение АКБ, В", "Напруга", "Τάση", "電池電圧(V)", "电压", "전압"},
		Amps:    {"Laddström", "Ladestrøm", "Latausvirta", "Töltőáram", "Şarj akımı", "Curent", "Struja punjenja", "Ток заряда, мА", "Струм", "Ρεύμα", "充電電流", "电流", "충전 전류"},
		Celsius: {"Lämpötila", "Hőmérséklet", "Sıcaklık", "Temperatură", "Температура", "Θερμοκρασία", "温度", "온도"},
		Counter: {"Kapasitet", "Ёмкость", "Ємність, Ач", "容量", "용량"},
		Watts:   {"Teho", "Teljesítmény", "Snaga", "Мощность, Вт", "功率", "電力"},
		Joules:  {"Energi", "Enerji", "Энергия", "電力量"},
	} {
		for _, name := range names {
			assert.Equal(t, of, understand(name).of, name)
		}
	}
	assert.Equal(t, "mA", nameOf(understand("Ток, мА").unit))
	assert.Equal(t, none, understand("sample").of, "no amperes")
	assert.Equal(t, naming{of: Counter, unit: unitNamed([]byte("As"), Counter)}, understand("Ladung (C)"), "coulombs, no degrees")
	assert.Equal(t, Counter, understand("Amperestunden").of, "no amperes either")
}

// What a name says beside the quantity: whose value it is.
func TestWhoseValueANameMeans(t *testing.T) {
	for _, name := range []string{"Vset", "Iset (A)", "Uin/V", "Zelle 3 [V]", "PV voltage in V"} {
		assert.True(t, understand(name).aside, name)
	}
	assert.False(t, understand("Tensione in V").aside, "the unit follows, and no input")
	assert.True(t, understand("Stav nabití.%").other, "a share is no temperature")
	assert.True(t, understand("Сопротивление").other)
}

// A recorder is switched on before the clamps are on anything: what is called voltage and current is read, whatever it looks like.
func TestLeadsThatLieAboutAreReadByTheirNames(t *testing.T) {
	lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
	for k := range 200 {
		lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.2f", 10*k, 0.01*float64(k*k%3-1), 0.01*float64(k%5/4)))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Equal(t, "time_s, voltage_V, current_A", f.Columns)
	lines[0] = []byte("time_s,a,b")
	_, err = Fit(lines, Options{})
	assert.Error(t, err, "nothing tells, without names")
}
