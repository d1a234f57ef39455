//go:build linux

package e2e

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/dashboards/testhelp"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every query of the dashboard, every recording rule and all that the alerts look
// at, asked of a real Prometheus that scrapes the program over a made-up charge:
// none comes back empty, and the alert that must fire does.
func TestDashboardAndRulesOnARealPrometheus(t *testing.T) {
	t.Parallel()
	exe := testhelp.Needed(t, "prometheus", "prometheus")
	at, port := newPlace(t), newPort(t)
	deaf := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusInternalServerError) }))
	t.Cleanup(deaf.Close)
	// One of the two who are told hears it, and nobody is where the readings are
	// pushed to. The limit is below the battery's temperature, so that an alarm holds.
	at.settings = fmt.Sprintf("notify: [{command: [\"true\"]}, {webhook: {url: %q}}]\npush: [{influx: {url: \"http://127.0.0.1:1\", database: garage}}]\n", deaf.URL)
	at.channel(t, "bench", port.source(), "battery: drill", "chemistry: li-ion", "cells: 3", "capacity: 4Ah", "limits: {celsius: 15}")
	p := serve(t, at.config)
	night := play(madeup.Named("drill-three-cells"))
	half := len(night.lines) * 2 / 5
	port.sayAll(night.lines[:half])
	testhelp.Until(t, "the forecast", func() bool { return len(p.series("amphora_session_remaining_seconds")) == 1 })
	trickle(t, port, night.lines[half:])

	prometheus := startPrometheus(t, exe, p)
	wanted := slices.Concat(dashboardQueries(t), recordings(t), alertSelectors(t), []string{`ALERTS{alertname="AmphoraAlarm", alertstate="firing"}`})
	require.Greater(t, len(wanted), 60)
	for limit := time.Now().Add(3 * time.Minute); len(wanted) > 0 && time.Now().Before(limit); time.Sleep(200 * time.Millisecond) {
		wanted = slices.DeleteFunc(wanted, func(query string) bool { return prometheus.answers(t, query) })
	}
	assert.Empty(t, wanted, "these queries have no answer")

	var names []string
	prometheus.fetch(t, "/api/v1/label/channel/values?match[]=amphora_source_up", &names)
	assert.Equal(t, []string{"bench"}, names, "the choice of channels on the dashboard")
	var rules struct {
		Groups []struct {
			Rules []struct{ Name, Health, LastError string }
		}
	}
	prometheus.fetch(t, "/api/v1/rules", &rules)
	assert.Len(t, rules.Groups, 3)
	for _, g := range rules.Groups {
		for _, r := range g.Rules {
			assert.Equal(t, "ok", r.Health, "%s: %s", r.Name, r.LastError)
		}
	}
	p.stop()
}

// trickle says the rest of a night, some rows a second and one in ten that cannot be
// read, until the test ends.
func trickle(t *testing.T, p *port, lines []string) {
	stop, done := make(chan struct{}), make(chan struct{})
	t.Cleanup(func() { close(stop); <-done })
	go func() {
		defer close(done)
		tick := time.NewTicker(100 * time.Millisecond)
		defer tick.Stop()
		for n, line := range lines {
			select {
			case <-stop:
				return
			case <-tick.C:
			}
			if n%10 == 0 {
				line = "12345.0,,"
			}
			_, _ = p.master.WriteString(line + "\r\n")
		}
	}()
}

// server is a Prometheus.
type server struct{ page string }

func startPrometheus(t *testing.T, exe string, p *program) *server {
	t.Helper()
	rules, err := filepath.Abs("../../../dashboards/prometheus")
	require.NoError(t, err)
	dir, address := t.TempDir(), testhelp.FreeAddress(t)
	u, err := url.Parse(p.page)
	require.NoError(t, err)
	config := filepath.Join(dir, "prometheus.yml")
	require.NoError(t, os.WriteFile(config, fmt.Appendf(nil, `
global: {scrape_interval: 1s, evaluation_interval: 1s}
scrape_configs: [{job_name: amphora, static_configs: [{targets: [%q]}]}]
rule_files: [%s/alerts.yml, %s/recording.yml]
`, u.Host, rules, rules), 0o600))
	cmd := exec.Command(exe, "--config.file="+config, "--storage.tsdb.path="+filepath.Join(dir, "tsdb"),
		"--web.listen-address="+address, "--log.level=warn")
	var said testhelp.Log
	cmd.Stderr = &said
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		_ = cmd.Wait()
		if t.Failed() {
			t.Logf("prometheus said:\n%s", said.String())
		}
	})
	s := &server{page: "http://" + address}
	testhelp.Until(t, "prometheus", func() bool {
		answer, err := client.Get(s.page + "/-/ready")
		if err != nil {
			return false
		}
		answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	})
	return s
}

// fetch reads the data of an answer.
func (s *server) fetch(t *testing.T, path string, into any) {
	t.Helper()
	answer, err := client.Get(s.page + path)
	require.NoError(t, err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, answer.StatusCode, "%s: %s", path, body)
	document := struct{ Data any }{into}
	require.NoError(t, json.Unmarshal(body, &document), "%s", body)
}

// answers reports whether a query has an answer with a number in it.
func (s *server) answers(t *testing.T, query string) bool {
	t.Helper()
	var found struct {
		Result []struct{ Value [2]any }
	}
	s.fetch(t, "/api/v1/query?query="+url.QueryEscape(query), &found)
	return slices.ContainsFunc(found.Result, func(r struct{ Value [2]any }) bool {
		x, err := strconv.ParseFloat(r.Value[1].(string), 64)
		return err == nil && !math.IsNaN(x)
	})
}

// dashboardQueries are those of all panels, as they are asked for all channels.
func dashboardQueries(t *testing.T) (all []string) {
	t.Helper()
	text, err := os.ReadFile("../../../dashboards/grafana/amphora.json")
	require.NoError(t, err)
	var d struct {
		Panels []struct{ Targets []struct{ Expr string } }
	}
	require.NoError(t, json.Unmarshal(text, &d))
	variables := strings.NewReplacer("$channel", "bench", "$__rate_interval", "10s", "$__range", "1m")
	for _, p := range d.Panels {
		for _, target := range p.Targets {
			query := variables.Replace(target.Expr)
			require.NotContains(t, query, "$")
			all = append(all, query)
		}
	}
	return all
}

// ruleFile is one, as far as it is looked at.
type ruleFile struct {
	Groups []struct {
		Rules []struct{ Record, Expr string }
	}
}

func readRules(t *testing.T, name string) (rules ruleFile) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../../dashboards/prometheus", name))
	require.NoError(t, err)
	require.NoError(t, yaml.Unmarshal(text, &rules))
	return rules
}

// recordings are the names of what is recorded.
func recordings(t *testing.T) (all []string) {
	for _, g := range readRules(t, "recording.yml").Groups {
		for _, r := range g.Rules {
			all = append(all, r.Record)
		}
	}
	return all
}

var (
	selector = regexp.MustCompile(`\b(?:amphora_[a-z_]+|up)\b(?:\{[^}]*\})?`)
	matcher  = regexp.MustCompile(`([a-z_]+)\s*(?:=~|!~|!=|=)\s*"[^"]*"`)
)

// alertSelectors is what the alerts look at: each metric with the labels by which it
// is told apart, whatever they say at the time.
func alertSelectors(t *testing.T) (all []string) {
	for _, g := range readRules(t, "alerts.yml").Groups {
		for _, r := range g.Rules {
			for _, s := range selector.FindAllString(r.Expr, -1) {
				all = append(all, matcher.ReplaceAllString(s, `$1=~".+"`))
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
