//go:build linux

package browser

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze/madeup"
)

// What the page writes into a field it can read again, also where numbers are usually written in digits of their own.
func TestAFieldTakesBackWhatItShows(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	page := at.serve(t).page
	for _, locale := range []string{"en-US", "de-DE", "sv-SE", "ar-EG", "fa-IR", "bn-BD"} {
		b := openTab(t, page, 1280, "light")
		_, err := chromedp.Call(b.ctx, emulation.SetLocaleOverride, emulation.SetLocaleOverrideParams{Locale: strings.ReplaceAll(locale, "-", "_")})
		require.NoError(t, err)
		b.do(chromedp.Reload())
		b.wait("document.querySelector('main .view') !== null")
		b.wait("window.fields !== undefined || (import('./lib/form.js').then(m => { window.fields = m; }), false)")
		assert.Equal(t, "number 1017.5", eval[string](b, "(x => `${typeof x} ${x}`)(fields.number(fields.plain(1017.5)))"), locale)
	}
}
