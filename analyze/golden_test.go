package analyze_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/dashboards/testhelp"
	"amphora/decoders"
)

// Every log in testdata has its summary document beside this test, compared to the
// byte, so that a change of any answer is seen and has to be explained. Write them
// anew with
//
//	go test ./analyze -run TestLogsAreSummarisedAsBefore -update
func TestLogsAreSummarisedAsBefore(t *testing.T) {
	logs, err := filepath.Glob(filepath.Join("..", "testdata", "*.log"))
	require.NoError(t, err)
	require.NotEmpty(t, logs, "a folder that lost its logs must not pass for one without faults")
	for _, log := range logs {
		name := strings.TrimSuffix(filepath.Base(log), ".log")
		t.Run(name, func(t *testing.T) {
			got := asJSON(t, summary(t, log)) + "\n"
			golden := filepath.Join("testdata", name+".golden.json")
			if testhelp.Update() {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err, "write it with -update")
			assert.Empty(t, firstDifference(string(want), got), "if the answers were meant to change, write them anew with -update and explain the difference")
		})
	}
}

// No golden document outlives its log.
func TestGoldenDocumentsHaveTheirLogs(t *testing.T) {
	golden, err := filepath.Glob(filepath.Join("testdata", "*.golden.json"))
	require.NoError(t, err)
	require.NotEmpty(t, golden)
	for _, g := range golden {
		name := strings.TrimSuffix(filepath.Base(g), ".golden.json")
		assert.FileExists(t, filepath.Join("..", "testdata", name+".log"))
	}
}

// A document that is read back and written again is the same.
func TestGoldenDocumentsSurviveReading(t *testing.T) {
	golden, err := filepath.Glob(filepath.Join("testdata", "*.golden.json"))
	require.NoError(t, err)
	for _, g := range golden {
		b, err := os.ReadFile(g)
		require.NoError(t, err)
		var d analyze.Document
		require.NoError(t, json.Unmarshal(b, &d))
		assert.Empty(t, firstDifference(string(b), asJSON(t, d)+"\n"), g)
	}
}

// summary decodes a log as a user's file is decoded, and judges it.
func summary(t testing.TB, path string) analyze.Document {
	lines := linesOf(t, path)
	fitted, err := decoders.Fit(lines[:min(len(lines), 4000)], decoders.Options{})
	require.NoError(t, err)
	stream, err := decoders.NewStream(fitted.Layout)
	require.NoError(t, err)
	m := analyze.New(analyze.Options{})
	for _, l := range lines {
		s, err := stream.Line(l, math.NaN(), 0)
		if refusal, ok := err.(*decoders.Refusal); ok {
			if refusal.Row() {
				m.Refuse(s, refusal.Error())
			}
			continue
		}
		m.Step(s)
	}
	d := m.Document()
	d.Log.Source, d.Log.Decoder, d.Log.Layout, d.Log.Setting = filepath.Base(path), fitted.Layout.Kind, fitted.Columns, fitted.Setting
	return d
}

func linesOf(t testing.TB, path string) (lines [][]byte) {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	s := bufio.NewScanner(f)
	for s.Scan() {
		lines = append(lines, bytes.Clone(s.Bytes()))
	}
	require.NoError(t, s.Err())
	return lines
}

// firstDifference shows the first line in which two texts differ; empty if none does.
func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for k := range max(len(w), len(g)) {
		switch {
		case k >= len(w):
			return fmt.Sprintf("line %d is new: %s", k+1, g[k])
		case k >= len(g):
			return fmt.Sprintf("line %d is missing: %s", k+1, w[k])
		case w[k] != g[k]:
			return fmt.Sprintf("line %d was %s, is %s", k+1, w[k], g[k])
		}
	}
	return ""
}
