package analyze_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/require"
)

// openLogs is the folder of open datasets. They are not part of the repository;
// their INDEX.md names each source, citation and licence.
func openLogs(t testing.TB) string {
	dir := os.Getenv("AMPHORA_OPEN_LOGS")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "data")
	}
	if _, err := os.Stat(filepath.Join(dir, "TRUTH.csv")); err != nil {
		if os.Getenv("AMPHORA_CI") != "" {
			t.Fatalf("the open logs are needed here: %v", err)
		}
		t.Skipf("the open logs are not on this machine (set AMPHORA_OPEN_LOGS to their folder): %v", err)
	}
	return dir
}

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
func readPlain(t testing.TB, path string) []analyze.Sample {
	f, err := os.Open(path)
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
	f, err := os.Open(filepath.Join(openLogs(t), "TRUTH.csv"))
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
