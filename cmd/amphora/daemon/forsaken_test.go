package daemon

import (
	"bytes"
	"log/slog"
	"path/filepath"
	"testing"

	"amphora/capture"
	"amphora/dashboards/push"
	"amphora/dashboards/push/influx"
	"amphora/dashboards/push/spool"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Who corrects the address of a store hears that points wait for the wrong one; who has not
// touched it hears nothing.
func TestPointsForAStoreThatIsGoneAreToldOf(t *testing.T) {
	data := t.TempDir()
	wrong := &influx.Server{URL: "http://127.0.0.1:1", Database: "garage"}
	right := &influx.Server{URL: "http://127.0.0.1:2", Database: "garage"}
	folder := filepath.Join(pushDir(data), wrong.Folder())
	q := spool.Open(spool.Options{Dir: folder})
	q.Push(3, []byte("a\nb\nc\n"), map[string]uint64{"bench": 3})
	require.NoError(t, q.Keep())

	said := func(s *influx.Server) string {
		var log bytes.Buffer
		d, err := Open(t.Context(), Config{Data: data, Clock: capture.SystemClock{}, Log: slog.New(slog.NewTextHandler(&log, nil)), Push: []push.Target{s}})
		require.NoError(t, err)
		require.NoError(t, d.Close())
		return log.String()
	}
	assert.NotContains(t, said(wrong), "no longer configured")
	told := said(right)
	assert.Contains(t, told, "points wait for a store that is no longer configured")
	assert.Contains(t, told, "points=3 folder="+folder)
}
