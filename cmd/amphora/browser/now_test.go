//go:build linux

package browser

import (
	"context"
	"net/http"
	"testing"
	"time"

	"amphora/analyze/madeup"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A night as somebody sees it who leaves the page open.
func TestNowFollowsACharge(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "battery: mower", "limits: {silence: 10h}")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	b.waitText(".sentence", "Nothing heard yet")
	b.waitText(".health", "no line has come yet")

	m.sayUntil(12_000)
	b.waitText(".sentence", "Filling with 2.00 A")
	b.waitText(".reading.volts", "13.09")
	b.waitText(".band .past[data-stage=constant-current]", "Constant current")
	b.wait("document.querySelector('.curve canvas')")

	m.sayUntil(28_000)
	b.waitText(".sentence", "Held at 14.50 V, current falling. Done about")
	b.waitText(".sentence", "between")
	b.wait("document.querySelector('.band .ahead')")
	b.waitText("#polite", "constant voltage")

	m.sayUntil(m.end())
	b.waitText(".sentence", "Full at")
	b.waitText(".sentence", "Ah went in")
	b.waitText("#polite", "resting")
	b.waitText(".reading.charge .doubt", "\u00b1")
	assert.Empty(t, b.text("#urgent"), "nothing to be alarmed about")
}

// The page says that amphora is away, and goes on by itself.
func TestNowSurvivesARestart(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	m.sayUntil(12_000)
	b.waitText(".sentence", "Filling")
	b.waitText(".reading.volts", "13.09")
	b.wait("document.querySelector('#away').hidden")

	b.mayLack()
	p.stop()
	m.hangUp()
	b.waitText("#link", "no connection")
	b.waitText("#away", "amphora does not answer. What stands here is from")
	b.waitText("#polite", "No connection")
	b.wait("document.querySelector('.channel').hasAttribute('data-stale')")
	assert.Contains(t, b.text(".reading.volts"), "13.09", "the last reading stays, and does not look like one")

	at.serve(t)
	b.wait("document.querySelector('#link').dataset.state === 'live' && document.querySelector('#away').hidden")
	b.waitText("#polite", "again")
	m.sayUntil(28_000)
	b.waitText(".sentence", "Held at 14.50 V")
	b.wait("!document.querySelector('.channel').hasAttribute('data-stale')")
}

// Where too many pages are open the page says that, and not that amphora is away.
func TestNowSaysWhyItIsRefused(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	_, closeAll := takeStreams(t, p)
	b := newTab(t, 1280, "light")
	b.mayLack()
	b.open(p.page)
	b.waitText("#away", "live streams go to your address already; close a page. The page goes on by itself")
	assert.NotContains(t, b.text("#away"), "stands here", "nothing does yet")
	closeAll()
	b.wait("document.querySelector('#link').dataset.state === 'live' && document.querySelector('#away').hidden")
}

// takeStreams opens as many live streams as one address may have, and says how many.
func takeStreams(t testing.TB, p *program) (taken int, closeAll func()) {
	ctx, closeAll := context.WithCancel(t.Context())
	t.Cleanup(closeAll)
	for {
		asked, err := http.NewRequestWithContext(ctx, http.MethodGet, p.page+"api/v1/live", nil)
		require.NoError(t, err)
		answer, err := http.DefaultClient.Do(asked)
		require.NoError(t, err)
		if answer.StatusCode == http.StatusTooManyRequests {
			return taken, closeAll
		}
		taken++ // it goes on
	}
}

// A page that nobody sees leaves its stream to others, and has another as soon as it is
// seen again.
func TestNowUnseenGivesItsStreamBack(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	b.mayLack()
	b.wait("document.querySelector('#link').dataset.state === 'live'")
	seen, closeAll := takeStreams(t, p)
	closeAll()
	b.turnAway(true)
	b.waitText("#link", "connecting")
	require.Eventually(t, func() bool {
		unseen, closeAll := takeStreams(t, p)
		closeAll()
		return unseen == seen+1
	}, patience, 100*time.Millisecond)
	m.sayUntil(12_000)
	b.turnAway(false)
	b.wait("document.querySelector('#link').dataset.state === 'live'")
	b.waitText(".sentence", "Filling")
}

func TestNowSaysWhenReadingsStop(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "limits: {silence: 2s}")
	p := at.serve(t)
	b := openTab(t, p.page, 390, "dark")
	b.mayLack() // the rows of a charge that is not in the logbook yet, asked for again later
	m.sayUntil(12_000)
	b.waitText(".sentence", "No reading for")
	b.wait("document.querySelector('.channel').hasAttribute('data-stale')")
	b.waitText("#polite", "no reading any more")
	m.unplug()
	b.waitText("#polite", "source is lost")
	b.waitText(".health summary", "Source: ")
}

func TestNowInTrouble(t *testing.T) {
	t.Parallel()
	p := troubled(t)
	b := openTab(t, p.page, 1280, "light")
	b.waitText(".channel[data-kind=alarm] .sentence", "Switch the charger off")
	b.waitText(".channel[data-kind=alarm] header .mark", "Alarm")
	b.waitText("#urgent", "Alarm, shed: ")
	b.wait("document.querySelector('.places a[data-view=now]').hasAttribute('data-alarm')")
	b.wait("document.querySelectorAll('.channel').length === 3")
	assert.Zero(t, b.count("main b"), "a name is no markup")
	for _, width := range []int{1280, 390} {
		b.size(width, 844)
		b.wide()
	}
	b.judgeBoth("now, in trouble")
}

func TestNothingIsThereYet(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	b := openTab(t, at.serve(t).page, 390, "light")
	b.waitText(".sentence", "Nothing heard yet")
	b.wide()
	b.judgeBoth("a channel without a line")
	b.wait("[...document.querySelectorAll('.health dd')].some(d => d.textContent.includes(', 1 line waiting') || /on disk, \\d+ kB$/.test(d.textContent))")
	b.goTo("#/setup")
	b.waitText(".view .lead", "no line yet")
	assert.NotContains(t, b.text(".view"), "no decoder fits", "none was tried")
	b.goTo("#/nights")
	b.waitText("main .lead", "No night has been recorded yet.")
	b.wide()
	b.mayLack()
	b.goTo("#/nights/bench-1")
	b.waitText("main", "cannot be shown: session \"bench-1\" is not in the logbook")
	b.goTo("#/nowhere")
	b.waitText("h1", "There is no such view.")
	b.judgeBoth("nothing at all")
}

// Everything can be reached by the keyboard, and what is chosen stays.
func TestFrame(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	m.sayUntil(28_000)
	p.untilHeard("bench", m)
	b := openTab(t, p.page, 1280, "light")
	b.wait("document.querySelector('.curve canvas')")

	b.press(kb.Tab)
	assert.Equal(t, "a Skip to the content", b.focused())
	assert.GreaterOrEqual(t, eval[float64](b, "document.activeElement.getBoundingClientRect().top"), 0.0, "it shows when it has the focus")
	b.press(kb.Enter)
	assert.Equal(t, "main", eval[string](b, "document.activeElement.id"))
	b.press(kb.Tab)
	assert.Equal(t, "figure Curve of bench", b.focused())
	require.NotEqual(t, "none", eval[string](b, "getComputedStyle(document.activeElement).outlineStyle"), "the focus shows")
	whole := eval[float64](b, "document.activeElement.dataset.to - document.activeElement.dataset.from")
	b.press("+", "+", kb.ArrowLeft)
	b.wait("document.querySelector('.curve').hasAttribute('data-close')")
	assert.InDelta(t, whole/4, eval[float64](b, "document.activeElement.dataset.to - document.activeElement.dataset.from"), 2)
	b.press("0")
	b.wait("!document.querySelector('.curve').hasAttribute('data-close')")
	for _, want := range []string{"button Look closer", "button See more around", "button Earlier", "button Later", "button All of the curve", "a This night in full", "summary Source delivers"} {
		b.press(kb.Tab)
		assert.Equal(t, want, b.focused())
	}
	b.press(kb.Enter)
	b.waitText(".health[open]", "columns separator=comma")

	b.choose("#theme", "dark")
	assert.Equal(t, "dark", eval[string](b, "getComputedStyle(document.documentElement).colorScheme"))
	b.do(chromedp.Reload())
	b.wait("document.querySelector('.channel')")
	assert.Equal(t, "dark", eval[string](b, "document.querySelector('#theme').value"), "a choice stays")
	b.media("print")
	assert.Equal(t, "none", eval[string](b, "getComputedStyle(document.querySelector('.top')).display"))
	assert.Equal(t, "light", eval[string](b, "getComputedStyle(document.documentElement).colorScheme"), "paper is white")
}
