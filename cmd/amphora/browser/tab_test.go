//go:build linux

package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// patience is how long something may take, even on a busy machine.
const patience = time.Minute

// tab is a tab of the browser, with storage and a cache of its own.
type tab struct {
	t   testing.TB
	ctx context.Context

	mu     sync.Mutex
	errors []string
	lacks  bool // what cannot be fetched is no error
}

// openTab opens a page, as wide as asked for, in light or dark, and waits until the
// script has put something there.
func openTab(t testing.TB, url string, width int, scheme string) *tab {
	t.Helper()
	b := newTab(t, width, scheme)
	b.open(url)
	return b
}

// newTab is one with no page yet.
func newTab(t testing.TB, width int, scheme string) *tab {
	t.Helper()
	needBrowser(t)
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	ctx, late := context.WithTimeout(ctx, 3*time.Minute)
	b := &tab{t: t, ctx: ctx}
	messages := chromedp.Console(ctx)
	listened := make(chan struct{})
	go func() {
		defer close(listened)
		for m, err := range messages {
			if err != nil {
				return
			}
			b.heard(m)
		}
	}()
	t.Cleanup(func() {
		late()
		cancel()
		<-listened
		for _, e := range b.errors {
			t.Errorf("the browser complains: %s", e)
		}
	})
	b.size(width, 900)
	b.look(scheme)
	_, err := chromedp.Call(ctx, emulation.SetLocaleOverride, emulation.SetLocaleOverrideParams{Locale: "en-GB"})
	require.NoError(t, err)
	_, err = chromedp.Call(ctx, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "UTC"})
	require.NoError(t, err)
	return b
}

func (b *tab) open(url string) {
	b.t.Helper()
	b.do(chromedp.Navigate(url))
	b.wait("document.querySelector('main .view') !== null")
}

func (b *tab) heard(m chromedp.ConsoleMessage) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch {
	case m.Type != chromedp.ConsoleError && m.Type != chromedp.ConsoleException && m.Type != chromedp.ConsoleWarning:
	case b.lacks && m.Source == "network":
	default:
		b.errors = append(b.errors, fmt.Sprintf("%s (%s)", m, m.URL))
	}
}

// mayLack says that something cannot be fetched from now on, on purpose. The browser
// complains of that in its own time, which may be much later.
func (b *tab) mayLack() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.lacks = true
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, steps...))
}

func (b *tab) size(width, height int) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(int64(width), int64(height)))
}

// look sets the colour scheme that the system prefers, and that nothing should move.
func (b *tab) look(scheme string) {
	b.t.Helper()
	b.media("", "prefers-color-scheme", scheme, "prefers-reduced-motion", "reduce")
}

// turnAway makes the page believe that nobody sees it, or that somebody does again.
func (b *tab) turnAway(away bool) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf("(() => { Object.defineProperty(document, 'hidden', { value: %t, configurable: true }); return document.dispatchEvent(new Event('visibilitychange')) })()", away))
}

// media emulates a medium, "" for the screen, with features by name and value.
func (b *tab) media(medium string, features ...string) {
	b.t.Helper()
	p := emulation.SetEmulatedMediaParams{Media: medium}
	for i := 0; i < len(features); i += 2 {
		p.Features = append(p.Features, &emulation.MediaFeature{Name: features[i], Value: features[i+1]})
	}
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, p)
	require.NoError(b.t, err)
}

// wait waits until an expression is true in the page.
func (b *tab) wait(expression string) {
	b.t.Helper()
	_, err := chromedp.Run(b.ctx, chromedp.Poll[bool]("Boolean("+expression+")", chromedp.WithPollingInterval(20*time.Millisecond), chromedp.WithPollingTimeout(patience)))
	require.NoError(b.t, err, "in vain waited for %s; the page says:\n%s", expression, b.text("body"))
}

// waitText waits until the element holds a text. Spaces that never break count as
// any other.
func (b *tab) waitText(selector, text string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("document.querySelector(%s)?.textContent.replace(/[\\u00a0\\u202f]/g, ' ').includes(%s)", quoted(selector), quoted(breaking.Replace(text))))
}

// breaking puts plain spaces in place of those that never break.
var breaking = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

// eval is the value of an expression.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(b.t, err, expression)
	return v
}

// text is what an element shows, empty where there is none.
func (b *tab) text(selector string) string {
	return eval[string](b, fmt.Sprintf("document.querySelector(%s)?.innerText ?? ''", quoted(selector)))
}

// count is how many elements there are.
func (b *tab) count(selector string) int {
	return eval[int](b, fmt.Sprintf("document.querySelectorAll(%s).length", quoted(selector)))
}

// click clicks the first element that a selector finds, as a mouse would. One that was
// drawn anew between the finding and the click is found again.
func (b *tab) click(selector string) {
	b.t.Helper()
	err := chromedp.Do(b.ctx, chromedp.Click(chromedp.CSS(selector)))
	for err != nil && strings.Contains(err.Error(), "Could not find node") {
		err = chromedp.Do(b.ctx, chromedp.Click(chromedp.CSS(selector)))
	}
	require.NoError(b.t, err)
}

// write fills a field in place of what it holds.
func (b *tab) write(selector, text string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf("(e => { e.focus(); e.select?.(); return true })(document.querySelector(%s))", quoted(selector)))
	b.do(chromedp.KeyEvent(text))
}

// choose takes an option of a list.
func (b *tab) choose(selector, value string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf("(e => { e.value = %s; e.dispatchEvent(new Event('change', { bubbles: true })); return true })(document.querySelector(%s))", quoted(value), quoted(selector)))
}

// press presses keys, like kb.Tab.
func (b *tab) press(keys ...string) {
	b.t.Helper()
	for _, k := range keys {
		b.do(chromedp.KeyEvent(k))
	}
}

// focused describes what has the focus: its tag and what it is called.
func (b *tab) focused() string {
	return eval[string](b, "(e => `${e.tagName.toLowerCase()} ${e.getAttribute('aria-label') ?? e.labels?.[0]?.textContent.trim() ?? e.textContent.trim().slice(0, 40)}`)(document.activeElement)")
}

// goTo goes to another view by its address, and waits until what it came from is gone:
// a button of that would still answer.
func (b *tab) goTo(hash string) {
	b.t.Helper()
	const left = "document.querySelector('main .view')"
	eval[bool](b, fmt.Sprintf("(%s.setAttribute('data-left', ''), location.hash = %s, true)", left, quoted(hash)))
	b.wait(left + "?.hasAttribute('data-left') === false")
}

// wide fails where the page is wider than the window, and stays so: a curve follows it a
// moment later.
func (b *tab) wide() {
	b.t.Helper()
	const over = `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1
		&& !e.closest(".table, .u-wrap, .skip, .unseen, .band, svg")).map(e => e.tagName + "." + e.className).slice(0, 5)`
	b.wait(over + ".length === 0 && document.documentElement.scrollWidth <= document.documentElement.clientWidth")
}

func quoted(text string) string {
	q, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string can always be written
	}
	return strings.ReplaceAll(string(q), "\u2028", `\u2028`)
}
