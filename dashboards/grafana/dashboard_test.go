package grafana

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dashboard is what the tests look at of one.
type dashboard struct {
	Inputs []struct {
		Name     string
		Type     string
		PluginID string
	} `json:"__inputs"`
	SchemaVersion int
	Templating    struct {
		List []struct{ Name, Definition string }
	}
	Panels []panel
}

type panel struct {
	ID                       int
	Type, Title, Description string
	Repeat                   string
	Collapsed                bool
	Datasource               source
	GridPos                  struct{ X, Y, W, H int }
	Targets                  []target
	FieldConfig              struct{ Overrides []override }
}

type source struct{ Type, UID string }

type target struct {
	RefID, Expr, LegendFormat, Format string
	Instant, Range                    bool
	Datasource                        source
}

type override struct {
	Matcher struct{ ID, Options string }
}

const input = "${DS_PROMETHEUS}"

func load(t *testing.T) (d dashboard) {
	t.Helper()
	text, err := os.ReadFile("amphora.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &d))
	require.NotEmpty(t, d.Panels)
	return d
}

// asked are the panels that are not headings.
func (d *dashboard) asked() []panel {
	return slices.DeleteFunc(slices.Clone(d.Panels), func(p panel) bool { return p.Type == "row" })
}

func TestWhoImportsIsAskedForThePrometheus(t *testing.T) {
	d := load(t)
	require.Len(t, d.Inputs, 1)
	assert.Equal(t, "datasource", d.Inputs[0].Type)
	assert.Equal(t, "prometheus", d.Inputs[0].PluginID)
	assert.Equal(t, input, "${"+d.Inputs[0].Name+"}")
	assert.GreaterOrEqual(t, d.SchemaVersion, 36, "the first in which a data source is type and uid")
	for _, p := range d.asked() {
		assert.Equal(t, source{"prometheus", input}, p.Datasource, p.Title)
		require.NotEmpty(t, p.Targets, p.Title)
		for _, q := range p.Targets {
			assert.Equal(t, source{"prometheus", input}, q.Datasource, p.Title)
		}
	}
}

// What a panel needs to be drawn at all.
func TestPanelsAreWhole(t *testing.T) {
	d := load(t)
	ids := map[int]bool{}
	for _, p := range d.Panels {
		assert.False(t, ids[p.ID], "%s: its number is taken", p.Title)
		ids[p.ID] = true
		assert.NotEmpty(t, p.Title)
	}
	for _, p := range d.asked() {
		assert.Contains(t, []string{"timeseries", "stat", "state-timeline", "table"}, p.Type, p.Title)
		assert.NotEmpty(t, p.Description, p.Title)
		names, refs := map[string]bool{}, map[string]bool{}
		for _, q := range p.Targets {
			assert.False(t, refs[q.RefID], "%s: two queries %s", p.Title, q.RefID)
			refs[q.RefID] = true
			names[q.LegendFormat] = true
			assert.NotEqual(t, q.Instant, q.Range, p.Title)
			assert.Equal(t, p.Type == "table", q.Instant && q.Format == "table", p.Title)
		}
		for _, o := range p.FieldConfig.Overrides {
			if p.Type != "table" {
				assert.True(t, names[o.Matcher.Options], "%s: nothing is called %q", p.Title, o.Matcher.Options)
			}
		}
	}
}

// The grid is 24 wide; panels that overlap would be pushed about.
func TestPanelsStandSideBySide(t *testing.T) {
	taken := map[[2]int]string{}
	d := load(t)
	for _, p := range d.Panels {
		g := p.GridPos
		assert.LessOrEqual(t, g.X+g.W, 24, p.Title)
		for x := g.X; x < g.X+g.W; x++ {
			for y := g.Y; y < g.Y+g.H; y++ {
				assert.Empty(t, taken[[2]int{x, y}], "%s overlaps", p.Title)
				taken[[2]int{x, y}] = p.Title
			}
		}
	}
}

func TestOneRowAChannel(t *testing.T) {
	d := load(t)
	var repeated []string
	for _, p := range d.Panels {
		if p.Type == "row" && p.Repeat != "" {
			repeated = append(repeated, p.Repeat)
		}
	}
	assert.Equal(t, []string{"channel"}, repeated)
	require.Len(t, d.Templating.List, 1)
	assert.Equal(t, "channel", d.Templating.List[0].Name)
	variable := regexp.MustCompile(`\$[\w{}]+`)
	for _, p := range d.asked() {
		for _, q := range p.Targets {
			for _, v := range variable.FindAllString(q.Expr, -1) {
				assert.Contains(t, []string{"$channel", "$__rate_interval", "$__range"}, v, p.Title)
			}
		}
	}
}

// The names are those of the page of metrics, and all of the page is to be seen.
func TestQueriesAndMetricsAgree(t *testing.T) {
	text, err := os.ReadFile("../metrics/testdata/page.txt")
	require.NoError(t, err)
	page := string(text)
	d := load(t)
	queries := d.Templating.List[0].Definition
	for _, p := range d.asked() {
		for _, q := range p.Targets {
			queries += "\n" + q.Expr
		}
	}
	name := regexp.MustCompile(`\bamphora_[a-z_]+`)
	for _, n := range name.FindAllString(queries, -1) {
		n = strings.TrimSuffix(n, "_bucket")
		assert.True(t, strings.Contains(page, "# TYPE "+n+" "), "%s is not exposed", n)
	}
	for line := range strings.Lines(page) {
		if n, ok := strings.CutPrefix(line, "# TYPE "); ok {
			n, _, _ = strings.Cut(n, " ")
			assert.True(t, strings.Contains(queries, n), "nothing shows %s", n)
		}
	}
}
