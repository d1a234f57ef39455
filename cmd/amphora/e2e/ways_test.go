//go:build linux

package e2e

import (
	"bytes"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// logs are the recorded logs: every fourth of ours, with AMPHORA_LONG all of them and the
// open ones.
func logs(t *testing.T) []string {
	t.Helper()
	ours, err := filepath.Glob("../../../testdata/*.log")
	require.NoError(t, err)
	require.NotEmpty(t, ours)
	if !long {
		return []string{ours[3], ours[7], ours[11], ours[15]}
	}
	open, err := filepath.Glob(filepath.Join(testhelp.OpenLogs(t), "*_*.csv"))
	require.NoError(t, err)
	return append(ours, open...)
}

// Each log by a file, a serial port and a TCP connection gives the same charges to the last
// bit, and what amphora analyze gives of it.
func TestEveryLogByEveryWay(t *testing.T) {
	t.Parallel()
	for _, log := range logs(t) {
		t.Run(filepath.Base(log), func(t *testing.T) {
			text, err := os.ReadFile(log)
			require.NoError(t, err)
			lines := strings.Split(strings.TrimSuffix(string(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))), "\n"), "\n")
			port := newPort(t)
			bridge, err := net.Listen("tcp", "127.0.0.1:0")
			require.NoError(t, err)
			defer bridge.Close()
			at := newPlace(t)
			at.channel(t, "file", "file: {path: "+logOf(t, lines)+"}")
			at.channel(t, "port", port.source())
			at.channel(t, "bridge", "tcp: {address: '"+bridge.Addr().String()+"'}")
			p := serve(t, at.config)
			conn, err := bridge.Accept()
			require.NoError(t, err)
			defer conn.Close()
			// Both may be found in the middle of a line.
			_, err = conn.Write([]byte("\n" + strings.Join(lines, "\r\n") + "\r\n"))
			require.NoError(t, err)
			p.untilUp("port")
			port.say("")
			port.sayAll(lines)
			ways := []string{"file", "port", "bridge"}
			for _, way := range ways {
				p.untilHeard(way, len(lines))
			}
			p.stop()

			want := analysed(t, log)
			want = slices.DeleteFunc(want, func(s analyze.Session) bool { return s.Outcome == analyze.NoCharge })
			for _, way := range ways {
				require.Equal(t, lines, whole(recorded(t, at.data, way)), way)
				got := answer[[]analyze.Session](t, "session", "list", "--channel", way, "--data", at.data)
				slices.SortFunc(got, func(a, b analyze.Session) int { return int(a.StartS - b.StartS) })
				require.Len(t, got, len(want), way)
				for k := range want {
					requireAlike(t, want[k], got[k])
				}
			}
		})
	}
}

// requireAlike is requireSame, but where the log's clock goes back: then its lines are dated
// by their arrival where they came live, and by the usual interval where they did not.
func requireAlike(t *testing.T, want, got analyze.Session) {
	t.Helper()
	if !slices.ContainsFunc(want.Findings, func(f analyze.Finding) bool { return f.Code == "clock-step" }) {
		requireSame(t, want, got)
		return
	}
	require.Equal(t, want.Outcome, got.Outcome)
	require.InDelta(t, float64(want.ChargeInAh), float64(got.ChargeInAh), 1e-6)
	require.InDelta(t, float64(want.EndS-want.StartS), float64(got.EndS-got.StartS), 1e-6)
	require.InDelta(t, float64(want.StartS), float64(got.StartS), 30)
}
