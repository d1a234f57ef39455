//go:build linux

package browser

import (
	_ "embed"
	"fmt"
	"strings"

	"github.com/stretchr/testify/assert"
)

// axe judges how well a page can be used by everybody. It is here for the tests only,
// under the licence beside it.
//
//go:embed testdata/axe.min.js
var axe string

// complaint is a rule that a page breaks.
type complaint struct {
	ID     string   `json:"id"`
	Impact string   `json:"impact"`
	Help   string   `json:"help"`
	Nodes  []string `json:"nodes"`
}

// judge fails where the page shows something that keeps people from using it, or no
// words. Rules limit what is looked at, where given.
func (b *tab) judge(what string, rules ...string) {
	b.t.Helper()
	b.inWords(what)
	only := "undefined"
	if len(rules) > 0 {
		only = quoted(strings.Join(rules, " ")) + ".split(' ')"
	}
	if !eval[bool](b, "typeof window.axe === 'object'") {
		eval[bool](b, "("+"(() => {"+axe+"\n})(), true)")
	}
	all := eval[[]complaint](b, `axe.run(document, { resultTypes: ["violations"], runOnly: `+only+` }).then(r => r.violations.map(v => ({
		id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.map(n => n.target.join(" ") + " " + (n.failureSummary ?? "").slice(0, 300)) })))`)
	for _, c := range all {
		report := fmt.Sprintf("%s: %s, %s: %s\n%s", what, c.Impact, c.ID, c.Help, strings.Join(c.Nodes, "\n"))
		if c.Impact == "serious" || c.Impact == "critical" {
			assert.Fail(b.t, report)
		} else {
			b.t.Log(report)
		}
	}
}

// judgeBoth judges what is shown, in light and, as far as colours go, in dark.
func (b *tab) judgeBoth(what string) {
	b.t.Helper()
	b.look("light")
	b.judge(what + ", light")
	b.look("dark")
	b.judge(what+", dark", "color-contrast", "link-in-text-block")
}
