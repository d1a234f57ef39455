package prometheus

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tool runs promtool, which is Prometheus' own judge of rules.
func tool(t *testing.T, args ...string) {
	t.Helper()
	out, err := exec.Command(testhelp.Needed(t, "promtool", "prometheus"), args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
}

func TestRulesAreSound(t *testing.T) { tool(t, "check", "rules", "alerts.yml", "recording.yml") }

func TestAlertsFireWhenTheyMustAndOnlyThen(t *testing.T) { tool(t, "test", "rules", "alerts_test.yml") }

func TestRecordingsAreWhatCanBeWorkedOutByHand(t *testing.T) {
	tool(t, "test", "rules", "recording_test.yml")
}

func TestEveryMetricInTheRulesIsExposed(t *testing.T) {
	alerts, err := os.ReadFile("alerts.yml")
	require.NoError(t, err)
	recordings, err := os.ReadFile("recording.yml")
	require.NoError(t, err)
	page, err := os.ReadFile("../metrics/testdata/page.txt")
	require.NoError(t, err)
	names := regexp.MustCompile(`\bamphora_[a-z_]+`).FindAllString(string(alerts)+string(recordings), -1)
	require.NotEmpty(t, names)
	for _, name := range names {
		assert.Regexp(t, `(?m)^`+name+`[{ ]`, string(page))
	}
}

// Each alert has a case in which it must fire and one in which it must not.
func TestEveryAlertHasACaseForAndACaseAgainst(t *testing.T) {
	var rules struct {
		Groups []struct{ Rules []struct{ Alert string } }
	}
	var cases struct {
		Tests []struct {
			Alerts []struct {
				Name     string `yaml:"alertname"`
				Expected []any  `yaml:"exp_alerts"`
			} `yaml:"alert_rule_test"`
		}
	}
	read(t, "alerts.yml", &rules)
	read(t, "alerts_test.yml", &cases)
	fires, quiet := map[string]int{}, map[string]int{}
	for _, c := range cases.Tests {
		for _, a := range c.Alerts {
			if len(a.Expected) > 0 {
				fires[a.Name]++
			} else {
				quiet[a.Name]++
			}
		}
	}
	for _, g := range rules.Groups {
		require.NotEmpty(t, g.Rules)
		for _, r := range g.Rules {
			assert.NotZero(t, fires[r.Alert], "%s: no case in which it fires", r.Alert)
			assert.NotZero(t, quiet[r.Alert], "%s: no case in which it stays quiet", r.Alert)
		}
	}
}

func TestEveryRecordingHasACase(t *testing.T) {
	var rules struct {
		Groups []struct{ Rules []struct{ Record string } }
	}
	var cases struct {
		Tests []struct {
			Queries []struct {
				Expr     string
				Expected []any `yaml:"exp_samples"`
			} `yaml:"promql_expr_test"`
		}
	}
	read(t, "recording.yml", &rules)
	read(t, "recording_test.yml", &cases)
	var answered []string
	for _, c := range cases.Tests {
		for _, q := range c.Queries {
			if len(q.Expected) > 0 {
				answered = append(answered, q.Expr)
			}
		}
	}
	for _, g := range rules.Groups {
		require.NotEmpty(t, g.Rules)
		for _, r := range g.Rules {
			assert.Contains(t, strings.Join(answered, " ")+" ", r.Record, "no case")
		}
	}
}

func read(t *testing.T, file string, into any) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, yaml.Unmarshal(text, into))
}
