package decoders

import (
	"fmt"
	"testing"
)

// What a name says, where a letter, a path or a word of the trade could mislead.
func TestNamesThatMislead(t *testing.T) {
	for _, c := range []struct {
		name string
		of   Quantity
		unit string
	}{
		{"Amps DC", Amps, ""},              // no tenths of a degree
		{"CV", none, ""},                   // the stage
		{"Channel A (V)", Volts, "V"},      // no current
		{"Kanal B (A)", Amps, "A"},         //
		{"ENERGY.Current", Amps, ""},       // no energy
		{"ENERGY.Voltage [V]", Volts, "V"}, //
		{"bus cV", Volts, "cV"},            // hundredths
	} {
		n, unit := understand(c.name), ""
		if n.unit != nil {
			unit = n.unit.name
		}
		if n.of != c.of || unit != c.unit {
			t.Errorf("%q: quantity %d in %q, want %d in %q", c.name, n.of, unit, c.of, c.unit)
		}
	}
	for name, aside := range map[string]bool{"vbat_raw": true, "I minimum": true, "Restzeit": true, "min_current_A": true, "min_voltage_V": true, "Cell2 [V]": true, "avg_current_A": false, "vbat": false} {
		if got := understand(name).aside; got != aside {
			t.Errorf("%q stands aside: %v", name, got)
		}
	}
}

// A log of two batteries whose columns are called vmain, vaux, imain, iaux.
func TestSiblingNames(t *testing.T) {
	lines := []string{"time,vmain,vaux,imain,iaux"}
	for k := range 120 {
		amps := 0.26 - 0.0001*float64(k)
		lines = append(lines, fmt.Sprintf("%d,%.3f,%.3f,%.3f,%.3f", 10*k, 14.05+0.001*float64(k*k%4), 12.61+0.001*float64(k*k%5), amps, -0.02))
	}
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "columns separator=comma width=5 time=1:s voltage=2:V current=4:A"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}

// What remains of a charge is no time of its rows, nor do its rows run backwards.
func TestTimeThatRemains(t *testing.T) {
	lines := []string{"Volt;Ampere;Restzeit;Laufzeit"}
	for k := range 120 {
		lines = append(lines, fmt.Sprintf("%.2f;%.2f;00:%02d:%02d;00:%02d:%02d", 12+0.01*float64(k), 2.0, (600-5*k)/60, (600-5*k)%60, 5*k/60, 5*k%60))
	}
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "columns separator=semicolon width=4 voltage=1:V current=2:A time=4:h:m:s"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}

// The number of a row is no current, whatever else is missing.
func TestNumberOfTheRowIsNoCurrent(t *testing.T) {
	lines := []string{"Scan,Time,101 (VDC),102 (VDC)"}
	for k := range 120 {
		lines = append(lines, fmt.Sprintf("%d,03/14/2026 20:%02d:%02d,%.4f,%.6f", k+1, k/6, k%6*10, 8.1+0.001*float64(k), 0.0015))
	}
	if f, err := Fit(bytesOf(lines), Options{}); err == nil {
		t.Error(f.Setting)
	}
}

// Hours, minutes and seconds have a column each in other languages, too.
func TestTimeHandedOutInOtherWords(t *testing.T) {
	lines := []string{"Stunde,Minute,Sekunde,Volt,Ampere"}
	for k := range 120 {
		lines = append(lines, fmt.Sprintf("%d,%d,%d,%.3f,%.3f", k/60, k%60, 0, 12.1+0.002*float64(k), 2.0))
	}
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "columns separator=comma width=5 time=1:h time=2:min time=3:s voltage=4:V current=5:A"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}
