package analyze_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// field is a number of a truth table or a log; blank is NaN.
func field(t testing.TB, s string) float64 {
	if s == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

// readPlain reads a log of the open datasets: time_s,voltage_V,current_A[,temperature_C].
func readPlain(t testing.TB, name string) []analyze.Sample {
	f, err := os.Open(filepath.Join(testhelp.OpenLogs(t), name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	var out []analyze.Sample
	for n, row := range rows[1:] {
		s := analyze.Sample{Line: n + 2, Celsius: math.NaN(), Counter: math.NaN()}
		s.At, s.Volts, s.Amps = field(t, row[0]), field(t, row[1]), field(t, row[2])
		if len(row) > 3 {
			s.Celsius = field(t, row[3])
		}
		out = append(out, s)
	}
	return out
}

func run(o analyze.Options, samples []analyze.Sample) analyze.Document {
	m := analyze.New(o)
	for _, s := range samples {
		m.Step(s)
	}
	return m.Document()
}

// truth is TRUTH.csv, by file and column.
func truth(t testing.TB) map[string]map[string]string {
	f, err := os.Open(filepath.Join(testhelp.OpenLogs(t), "TRUTH.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	table := make(map[string]map[string]string)
	for _, row := range rows[1:] {
		m := make(map[string]string)
		for k, name := range rows[0] {
			m[name] = row[k]
		}
		table[row[0]] = m
	}
	return table
}

// analyzed reads an open log and says all that can be said of it, knowing
// nothing of the battery.
func analyzed(t testing.TB, name string) analyze.Document {
	return run(analyze.Options{}, readPlain(t, name))
}

// usedIntervals is how far apart the rows of a charge are, s, to turn "a few
// samples" into time.
func usedIntervals(samples []analyze.Sample) float64 {
	var d []float64
	for k := 1; k < len(samples); k++ {
		if dt := samples[k].At - samples[k-1].At; dt > 0 {
			d = append(d, dt)
		}
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// stageOf is the first stage of that name; nil if there was none.
func stageOf(s *analyze.Session, name analyze.StageName) *analyze.Stage {
	for k := range s.Stages {
		if s.Stages[k].Stage == name {
			return &s.Stages[k]
		}
	}
	return nil
}

// The datasets, named here so that a failure says whose log it was; citations
// and licences are in the INDEX.md beside the logs.
var origins = map[string]string{
	"pb03_17ah_charge_1.csv":               "Sulzer et al. 2019, lead-acid 17 Ah, faster-lead-acid repository",
	"pb06_17ah_charge_4.csv":               "Sulzer et al. 2019, lead-acid 17 Ah, faster-lead-acid repository",
	"pb09_17ah_charge_1_interleaved.csv":   "Sulzer et al. 2019, lead-acid 17 Ah, faster-lead-acid repository",
	"pb10_17ah_discharge_3A_rest.csv":      "Sulzer et al. 2019, lead-acid 17 Ah, faster-lead-acid repository",
	"li01_nasa_B0025_c13_24C.csv":          "Saha and Goebel 2007, Battery Data Set, NASA Prognostics Data Repository",
	"li06_nasa_B0049_c9_aborted_nan.csv":   "Saha and Goebel 2007, Battery Data Set, NASA Prognostics Data Repository",
	"li08_nasa_B0050_c33_fault.csv":        "Saha and Goebel 2007, Battery Data Set, NASA Prognostics Data Repository",
	"li09_nasa_B0052_c12_open_circuit.csv": "Saha and Goebel 2007, Battery Data Set, NASA Prognostics Data Repository",
	"li10_nasa_B0041_c162_nan57.csv":       "Saha and Goebel 2007, Battery Data Set, NASA Prognostics Data Repository",
	"li14_pan_25C_charge_rest.csv":         "Kollmeyer 2018, Mendeley Data, 10.17632/wykht8y7tg.1",
	"li19_pan_m10C_charge_gap7200s.csv":    "Kollmeyer 2018, Mendeley Data, 10.17632/wykht8y7tg.1",
	"li20_pan_full_topup_21s.csv":          "Kollmeyer 2018, Mendeley Data, 10.17632/wykht8y7tg.1",
	"li36_leaf_charge_10A_rest1h.csv":      "Wiggins, Allu, Wang, Oak Ridge National Laboratory, 10.5281/zenodo.2580327",
	"li37_leaf_hppc_pulses.csv":            "Wiggins, Allu, Wang, Oak Ridge National Laboratory, 10.5281/zenodo.2580327",
	"li39_30q_A_cycle10.csv":               "ARTS-Lab, University of South Carolina, 30Q cycling dataset",
	"lfp08_k2_hppc_raw_overflow.csv":       "ARTS-Lab, University of South Carolina, K2 26650 dataset",
}
