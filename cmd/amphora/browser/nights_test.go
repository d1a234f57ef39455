//go:build linux

package browser

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
)

// The views of an invented household, each in a tab of its own.
func TestHousehold(t *testing.T) {
	t.Parallel()
	p := household(t)
	for name, look := range map[string]func(*testing.T, *program){
		"nights are searched":  searchNights,
		"by the keyboard":      walkNights,
		"one night":            oneNight,
		"nights over another":  overlayNights,
		"a phone":              onAPhone,
		"everybody can use it": judgeHousehold,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			look(t, p)
		})
	}
}

// boats are the two charges of the boathouse, whose lines are in the journal, the
// newest first.
func boats(t *testing.T, p *program) [2]string {
	t.Helper()
	var all struct{ Sessions []struct{ ID string } }
	p.fetch("api/v1/sessions?channel=boathouse", &all)
	require.Len(t, all.Sessions, 2)
	return [2]string{all.Sessions[0].ID, all.Sessions[1].ID}
}

const rows = "document.querySelectorAll('.nights tbody tr').length"

func searchNights(t *testing.T, p *program) {
	b := openTab(t, p.page+"#/nights", 1280, "light")
	b.wait(rows + " === 50")
	b.waitText("main", "144 nights")
	b.click(".view-nights > button")
	b.wait(rows + " === 100")
	assert.Equal(t, "a", eval[string](b, "document.activeElement.tagName.toLowerCase()"), "one reads on where the new ones begin")

	b.write("#search-text", "dropped mower")
	b.wait(rows + " > 0 && " + rows + " < 50")
	b.wait("location.hash.includes('text=dropped+mower')") // it can be kept as a bookmark
	b.wait("[...document.querySelectorAll('.nights tbody tr')].every(r => r.textContent.includes('current dropped'))")
	b.waitText("#polite", "nights")
	b.do(chromedp.Reload())
	b.wait(rows + " > 0 && " + rows + " < 50 && document.querySelector('#search-text').value === 'dropped mower'")

	b.write("#search-text", "no such night")
	b.waitText("main .lead", "No night fits this search.")
	b.click("main .card button")
	b.wait(rows + " === 50")

	b.wait("document.querySelectorAll('#search-battery option').length === 5")
	b.choose("#search-battery", "car")
	eval[bool](b, "(document.querySelector('#search-battery').dispatchEvent(new Event('input', { bubbles: true })), true)")
	b.wait("[...document.querySelectorAll('.nights .what')].every(e => e.textContent === 'car')")

	b.click("th:nth-child(5) button")
	b.wait("document.querySelector('th:nth-child(5)').getAttribute('aria-sort') === 'descending'")
	const charges = "[...document.querySelectorAll('.nights .ah')].map(e => parseFloat(e.textContent))"
	b.wait(charges + ".every((x, i, all) => i === 0 || x <= all[i - 1])")
	b.click("th:nth-child(5) button")
	b.wait("document.querySelector('th:nth-child(5)').getAttribute('aria-sort') === 'ascending'")
	b.wait(charges + ".every((x, i, all) => i === 0 || x >= all[i - 1])")
}

func walkNights(t *testing.T, p *program) {
	b := openTab(t, p.page+"#/nights", 1280, "dark")
	b.wait(rows + " === 50")
	b.do(chromedp.Focus(chromedp.CSS("th:last-of-type button, th:nth-child(6) button")))
	b.press(kb.Tab)
	first := b.focused()
	require.True(t, strings.HasPrefix(first, "input Choose "), first)
	b.press(kb.ArrowRight)
	assert.True(t, strings.HasPrefix(b.focused(), "a "), b.focused())
	second := eval[string](b, "document.querySelector('.nights tbody tr:nth-child(2) a').textContent")
	b.press(kb.ArrowDown)
	assert.Equal(t, "a "+second, b.focused())
	b.press(kb.End)
	assert.True(t, eval[bool](b, "document.activeElement === document.querySelector('.nights tbody tr:last-child a')"))
	b.press(kb.Home, kb.ArrowLeft)
	assert.Equal(t, first, b.focused())
	b.press(" ", kb.ArrowDown, " ")
	b.waitText(".choice", "2 nights chosen")
	b.press(kb.Home, kb.ArrowRight, kb.Enter)
	b.wait("document.querySelector('.night h1')")
	assert.Equal(t, "main", eval[string](b, "document.activeElement.id"), "one reads on at the top")
	b.do(chromedp.NavigateBack())
	b.wait(rows + " === 50")
}

func oneNight(t *testing.T, p *program) {
	b := openTab(t, p.page+"#/nights/"+p.view("garage").Session.ID, 1280, "light")
	b.waitText(".night .lead", "Still charging")
	assert.NotContains(t, b.text(".night"), "Current at the end", "it has not come to one")
	b.goTo("#/nights/" + boats(t, p)[0])
	b.waitText(".night .lead", "Full at")
	b.waitText(".night", "Current at the end")
	b.waitText(".stages", "the current fell to the tail of 2.5 A")
	b.waitText(".night", "Settles at")
	b.wait("document.querySelector('.curve canvas')")
	b.wait("document.querySelector('.curve')?.dataset.to")

	const width = "document.querySelector('.curve').dataset.to - document.querySelector('.curve').dataset.from"
	whole := eval[float64](b, width)
	b.click(".tools button:first-child")
	b.wait("document.querySelector('.curve').hasAttribute('data-close')")
	assert.InDelta(t, whole/2, eval[float64](b, width), 60)
	// A stretch is fetched at full detail.
	b.wait("performance.getEntriesByType('resource').some(e => e.name.includes('from=') && e.name.includes('to='))")
	b.click(".tools button:last-child")
	b.wait("!document.querySelector('.curve').hasAttribute('data-close')")

	box := eval[[4]float64](b, "(r => [r.left, r.top, r.width, r.height])(document.querySelector('.u-over').getBoundingClientRect())")
	x, y := box[0]+box[2]*0.5, box[1]+box[3]*0.5
	b.do(chromedp.DragAndDropXY(x, y, x+box[2]*0.2, y, 5))
	b.wait("document.querySelector('.curve').hasAttribute('data-close')")
	assert.InDelta(t, whole*0.2, eval[float64](b, width), whole*0.03)

	b.click(".night form button")
	b.waitText("#note-wrong", "Write something first.")
	b.write("#note", "the fan was <off>")
	b.click(".night form button")
	b.waitText(".notes", "the fan was <off>")
	b.waitText("#polite", "Note added")
	eval[bool](b, "(() => { window.fetch = () => Promise.reject(new TypeError()); return true; })()")
	b.write("#note", "again")
	b.click(".night form button")
	b.waitText("#note-wrong", "in the same network?")
	assert.NotContains(t, b.text("#note-wrong"), "?.", "one stop is enough")

	report := eval[string](b, "document.querySelector('a[target=_blank]').href")
	b.do(chromedp.Navigate(report))
	b.waitText("body", "the fan was <off>")
	assert.NotEqual(t, "Times New Roman", eval[string](b, "getComputedStyle(document.body).fontFamily"), "its own style may be used")
	assert.Positive(t, eval[int](b, "document.querySelector('figure img').naturalWidth"), "and its picture")
}

// A night that was another battery's is given to that one; what cannot be is told.
func TestANightIsGivenToAnotherBattery(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("outboard-two-charges"))
	at.channel("boathouse", m, "battery: outboard", "limits: {silence: 10h}")
	at.fill(t, func(book *logbook.Book) {
		for name, capacity := range map[string]float64{"outboard": 50, "caravan": 100} {
			require.NoError(t, book.AddBattery(t.Context(), logbook.Battery{Name: name, Chemistry: new(analyze.LiFePO4), Cells: new(4), CapacityAh: new(capacity)}))
		}
	})
	p := at.serve(t)
	m.sayUntil(1e9)
	p.untilHeard("boathouse", m)
	two := boats(t, p)
	b := openTab(t, p.page+"#/nights/"+two[1], 1280, "light")
	b.waitText(".night header", "battery outboard")
	b.pushButton("It was another battery")
	b.waitText("dialog", "Which battery was it?")
	b.judge("the question which battery it was")
	b.pushButton("It was this one")
	b.waitText(".night header", "battery caravan")
	b.waitText("#polite", "It is a charge of caravan now.")
	b.waitText(".night", "Rated")
	assert.Contains(t, b.text(".night dl"), "100", "it is judged by what is known of that one")

	b.mayLack()
	b.goTo("#/nights/" + two[0])
	b.waitText(".night header", "battery outboard")
	b.pushButton("It was another battery")
	b.waitText("dialog", "Which battery was it?")
	b.pushButton("It was this one")
	b.waitText("dialog [role=alert]", "may still be revised")
}

func overlayNights(t *testing.T, p *program) {
	b := openTab(t, p.page+"#/nights?battery=outboard", 1280, "light")
	b.wait(rows + " > 10")
	b.click(".nights tbody tr:nth-child(1) input")
	b.click(".nights tbody tr:nth-child(2) input")
	b.click(".choice a")
	b.wait("document.querySelectorAll('.curve canvas').length === 2")
	assert.Equal(t, 2, b.count(".nights-key li"))
	b.waitText(".compared", "21.0 \u00b1 0.3")
	b.waitText(".compared", "25.2 \u00b1 0.3")
	b.wait("document.querySelector('.curve')?.dataset.to")
	assert.InDelta(t, -270, eval[float64](b, "Number(document.querySelector('.curve').dataset.from)"), 120, "both begin with their charge")
	b.click(".tools button:first-child")
	// The other picture shows the same stretch.
	b.wait("[...document.querySelectorAll('.curve')].every(c => c.hasAttribute('data-close'))")
	const spans = "[...document.querySelectorAll('.curve')].map(c => c.dataset.from)"
	b.wait("new Set(" + spans + ").size === 1")
}

func onAPhone(t *testing.T, p *program) {
	two := boats(t, p)
	b := openTab(t, p.page, 390, "light")
	b.wait("document.querySelectorAll('.curve canvas').length === 3")
	b.wide()
	for _, c := range [][2]string{
		{"#/nights", rows + " === 50"},
		{"#/nights/" + two[0], "document.querySelector('.night canvas')"},
		{"#/nights/" + two[0] + "/" + two[1], "document.querySelectorAll('.curve canvas').length === 2"},
	} {
		b.goTo(c[0])
		b.wait(c[1])
		b.wide()
	}
	b.goTo("#/nights")
	b.wait(rows + " === 50")
	b.size(320, 640)
	const beyond = "[...document.querySelectorAll('.nights tbody td')].filter(c => c.getBoundingClientRect().right > c.closest('.card').getBoundingClientRect().right).length"
	b.wait(beyond + " === 0") // not even on the smallest
	b.size(390, 844)
	// The navigation is where the thumb is, and large enough for it.
	assert.Less(t, 780.0, eval[float64](b, "document.querySelector('.places').getBoundingClientRect().top"))
	assert.LessOrEqual(t, 44.0, eval[float64](b, "Math.min(...[...document.querySelectorAll('.places a')].map(a => a.getBoundingClientRect().height))"))
}

func judgeHousehold(t *testing.T, p *program) {
	two := boats(t, p)
	b := openTab(t, p.page, 1280, "light")
	for _, c := range [][2]string{
		{"#/now", "document.querySelectorAll('.curve canvas').length === 3"},
		{"#/nights", rows + " === 50"},
		{"#/nights/" + two[0], "document.querySelector('.night canvas')"},
		{"#/nights/" + two[0] + "/" + two[1], "document.querySelectorAll('.curve canvas').length === 2"},
	} {
		b.goTo(c[0])
		b.wait(c[1])
		b.judgeBoth(c[0])
	}
}

// longNight serves a night of a hundred thousand rows, one of them a spike, V.
func longNight(t testing.TB) (p *program, id string, spike float64) {
	t.Helper()
	n := madeup.Named("mower-float")
	n.Charger.FloatFor = 100_000
	n.Meter.Every = 1
	n.Plan = []madeup.Phase{madeup.Sleep(120), madeup.ChargeFor(100_000)}
	at, m := newPlace(t), newMeter(t, n)
	m.rows = m.rows[:100_000]
	m.rows[61_234].text = fmt.Sprintf("%.0f,19.5,0.1", m.rows[61_234].at)
	at.channel("bench", m, "limits: {silence: 10h}")
	p = at.serve(t)
	m.sayUntil(m.end())
	p.untilHeard("bench", m)
	return p, string(p.view("bench").Session.ID), 19.5
}

// No peak of a long night is lost.
func TestLongNight(t *testing.T) {
	t.Parallel()
	p, id, spike := longNight(t)
	b := openTab(t, p.page+"#/nights/"+id, 1280, "light")
	b.wait("document.querySelector('.curve')?.dataset.to")
	highest := eval[float64](b, fmt.Sprintf("fetch('api/v1/sessions/%s/samples?points=3000').then(r => r.json()).then(d => Math.max(...d.volts))", id))
	assert.InDelta(t, spike, highest, 1e-9)
}

// Thousands of nights are searched on the server.
func TestThousandsOfNights(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.fill(t, func(book *logbook.Book) {
		remember(t, book, pastNights(t, 3000, monday))
	})
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	b := openTab(t, at.serve(t).page+"#/nights", 390, "dark")
	b.waitText("main", "3,000 nights")
	b.write("#search-text", "drill")
	b.waitText("main", "600 nights")
	assert.Equal(t, 50, b.count(".nights tbody tr"))
}
